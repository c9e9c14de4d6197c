// Package picture draws the program's pictures in one calm look, as SVG or PNG.
// It lays panels of gonum/plot out on a page and brings the few marks that they
// are made of. The same figures give the same bytes.
package picture

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// The formats of a picture.
const (
	SVG = "svg"
	PNG = "png"
)

// pngDPI makes text of a PNG readable on a screen and on paper.
const pngDPI = 144

// Format returns the format of a picture by the ending of its file.
func Format(file string) (string, error) {
	switch ending := strings.ToLower(strings.TrimPrefix(filepath.Ext(file), ".")); ending {
	case SVG, PNG:
		return ending, nil
	}
	return "", fmt.Errorf("%q is no picture that can be drawn; let its name end in .svg or .png", file)
}

// Write draws a page of a width and height in points and writes it.
func Write(w io.Writer, format string, width, height vg.Length, paint func(draw.Canvas)) error {
	var c vg.CanvasWriterTo
	switch format {
	case SVG:
		c = vgsvg.NewWith(vgsvg.UseWH(width, height))
	case PNG:
		c = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(pngDPI), vgimg.UseBackgroundColor(paper))}
	default:
		return fmt.Errorf("no picture format %q; there are: %s, %s", format, SVG, PNG)
	}
	page := draw.New(c)
	page.SetColor(paper)
	page.Fill(page.Rectangle.Path())
	paint(page)
	if format == PNG {
		_, err := c.WriteTo(w)
		return err
	}
	var svg bytes.Buffer
	if _, err := c.WriteTo(&svg); err != nil {
		return err
	}
	_, err := w.Write(bytes.ReplaceAll(svg.Bytes(), []byte("font-family:Liberation Sans;"), []byte(fontFamily)))
	return err
}

// fontFamily names fonts of the same widths, of which most machines have one.
const fontFamily = "font-family:'Liberation Sans',Arial,Helvetica,sans-serif;"
