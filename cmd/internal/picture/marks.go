package picture

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Point is a place in a diagram.
type Point struct{ X, Y float64 }

// Line joins points, with a dot of a radius at each of them where it is above 0;
// hollow dots show the paper inside.
type Line struct {
	Points []Point
	Colour color.Color
	Width  vg.Length
	Dashes []vg.Length
	Dot    vg.Length
	Hollow bool
}

// Plot draws it.
func (l Line) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	at := make([]vg.Point, len(l.Points))
	for i, q := range l.Points {
		at[i] = vg.Point{X: x(q.X), Y: y(q.Y)}
	}
	if l.Width > 0 {
		c.StrokeLines(draw.LineStyle{Color: l.Colour, Width: l.Width, Dashes: l.Dashes}, c.ClipLinesXY(at)...)
	}
	if l.Dot <= 0 {
		return
	}
	for _, q := range at {
		if !c.Contains(q) {
			continue
		}
		dot(c, q, l.Dot, l.Colour)
		if l.Hollow {
			dot(c, q, l.Dot-1.1, paper)
		}
	}
}

func dot(c draw.Canvas, at vg.Point, radius vg.Length, colour color.Color) {
	var path vg.Path
	path.Move(vg.Point{X: at.X + radius, Y: at.Y})
	path.Arc(at, radius, 0, 2*math.Pi)
	path.Close()
	c.SetColor(colour)
	c.Fill(path)
}

// Box is a filled rectangle between two corners.
type Box struct {
	From, To Point
	Colour   color.Color
}

// Plot draws it.
func (b Box) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	r := vg.Rectangle{Min: vg.Point{X: x(b.From.X), Y: y(b.From.Y)}, Max: vg.Point{X: x(b.To.X), Y: y(b.To.Y)}}
	c.SetColor(b.Colour)
	c.Fill(r.Path())
}

// Label is text at a place, moved from there by some points.
type Label struct {
	At    Point
	Move  vg.Point
	Text  string
	Style text.Style
}

// Plot writes it.
func (l Label) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	c.FillText(l.Style, vg.Point{X: x(l.At.X), Y: y(l.At.Y)}.Add(l.Move), l.Text)
}

// Key names a series by a sample of its line, or an area by a sample of it.
type Key struct {
	Colour color.Color
	Hollow bool
	Area   bool
	Text   string
}

func (k Key) sample(c draw.Canvas, x, y vg.Length) {
	if k.Area {
		c.SetColor(k.Colour)
		c.Fill(vg.Rectangle{Min: vg.Point{X: x + 6, Y: y - 5}, Max: vg.Point{X: x + 12, Y: y + 5}}.Path())
		return
	}
	c.StrokeLine2(draw.LineStyle{Color: k.Colour, Width: 1.6}, x, y, x+18, y)
	dot(c, vg.Point{X: x + 9, Y: y}, 3, k.Colour)
	if k.Hollow {
		dot(c, vg.Point{X: x + 9, Y: y}, 1.9, paper)
	}
}

// Keys draws a row of keys with its middle at a height.
func Keys(c draw.Canvas, x, y vg.Length, keys ...Key) {
	style := Style(SizeText, Ink)
	style.YAlign = draw.YCenter
	for _, k := range keys {
		k.sample(c, x, y)
		c.FillText(style, vg.Point{X: x + 23, Y: y}, k.Text)
		x += 23 + style.Width(k.Text) + 14
	}
}
