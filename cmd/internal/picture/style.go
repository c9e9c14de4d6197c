package picture

import (
	"image/color"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Colours. The three that tell series apart do so in grey and for the
// colour-blind too: dark blue, amber, mid grey.
var (
	Ink   = color.NRGBA{0x26, 0x2b, 0x33, 0xff} // text
	Faint = color.NRGBA{0x6b, 0x72, 0x7c, 0xff} // text that matters less
	Blue  = color.NRGBA{0x1f, 0x4e, 0x79, 0xff}
	Sky   = color.NRGBA{0x7a, 0xa8, 0xd1, 0xff} // beside Blue, for the same thing at another time
	Amber = color.NRGBA{0xc9, 0x7a, 0x12, 0xff}
	Grey  = color.NRGBA{0x8d, 0x93, 0x9b, 0xff}

	rule  = color.NRGBA{0xe3, 0xe6, 0xea, 0xff} // grid
	axis  = color.NRGBA{0x9a, 0xa1, 0xaa, 0xff}
	paper = color.NRGBA{0xff, 0xff, 0xff, 0xff}
)

// Pale is a colour thinned down, for areas behind marks.
func Pale(c color.NRGBA) color.NRGBA {
	mix := func(v uint8) uint8 { return uint8(255 - (255-int(v))*22/100) }
	return color.NRGBA{mix(c.R), mix(c.G), mix(c.B), 0xff}
}

// Style is the style of text of a size in points.
func Style(size float64, c color.Color) text.Style {
	return text.Style{Color: c, Font: font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(size)}, Handler: plot.DefaultTextHandler}
}

// Bold is the style of headings.
func Bold(size float64) text.Style {
	s := Style(size, Ink)
	s.Font.Weight = xfont.WeightBold
	return s
}

// The sizes of text, in points.
const (
	sizeTitle = 14
	sizePanel = 11
	SizeText  = 9.5
	SizeSmall = 8
)

// Page writes a title and a line under it and returns the canvas below them.
func Page(c draw.Canvas, title, under string) draw.Canvas {
	c = draw.Crop(c, 18, -18, 12, -14)
	head := Bold(sizeTitle)
	head.YAlign = draw.YTop
	c.FillText(head, vg.Point{X: c.Min.X, Y: c.Max.Y}, title)
	line := Style(SizeText, Faint)
	line.YAlign = draw.YTop
	c.FillText(line, vg.Point{X: c.Min.X, Y: c.Max.Y - 21}, under)
	return draw.Crop(c, 0, 0, 0, -44)
}

// Panel returns an empty diagram with a heading, named axes and a grid.
func Panel(title, x, y string) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.Title.Text = title
	p.Title.TextStyle = Bold(sizePanel)
	p.Title.TextStyle.XAlign, p.Title.TextStyle.YAlign = draw.XCenter, draw.YTop
	p.Title.Padding = 8
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.LineStyle = draw.LineStyle{Color: axis, Width: 0.7}
		a.Tick.LineStyle = draw.LineStyle{}
		a.Tick.Length = 0
		a.Padding = 0
		a.Label.Padding = 5
		align := a.Tick.Label
		a.Tick.Label = Style(SizeText, Ink)
		a.Tick.Label.XAlign, a.Tick.Label.YAlign = align.XAlign, align.YAlign
		align = a.Label.TextStyle
		a.Label.TextStyle = Style(SizeText, Faint)
		a.Label.TextStyle.XAlign, a.Label.TextStyle.YAlign = align.XAlign, align.YAlign
	}
	p.X.Label.Text, p.Y.Label.Text = x, y
	p.Add(grid{})
	return p
}

// grid draws a line at every named tick, behind everything else.
type grid struct{}

func (grid) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	line := draw.LineStyle{Color: rule, Width: 0.6}
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if !t.IsMinor() && t.Value >= p.X.Min && t.Value <= p.X.Max {
			c.StrokeLine2(line, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
		}
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if !t.IsMinor() && t.Value >= p.Y.Min && t.Value <= p.Y.Max {
			c.StrokeLine2(line, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
		}
	}
}
