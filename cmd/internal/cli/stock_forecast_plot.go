package cli

import (
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"sootsayer/cmd/internal/picture"
	"sootsayer/cmd/internal/shop"
	"sootsayer/kb/stock"
)

// The page of a forecast's picture, in points.
const (
	forecastWidth  = 760
	forecastHeight = 380
)

// plotForecast draws what was used of a part by month, the fan of the months to
// come, and the reorder point.
func plotForecast(w io.Writer, format string, s *shop.Shop, d *shop.Demand, r *shop.OrderRow, days int) error {
	part, _ := s.Base().Part(r.Part)
	under := fmt.Sprintf("%s, from %s", part.Spec, d.From.Format(longDay))
	if part.Spec == "" {
		under = "from " + d.From.Format(longDay)
	}
	return picture.Write(w, format, forecastWidth, forecastHeight, func(c draw.Canvas) {
		c = picture.Page(c, part.Name+", used by month", under)
		const keys = 20
		forecastPanel(d, r, days).Draw(draw.Crop(c, 0, -6, keys, 0))
		picture.Keys(c, c.Min.X+30, c.Min.Y+6,
			picture.Key{Colour: picture.Grey, Area: true, Text: "used"},
			picture.Key{Colour: picture.Pale(picture.Blue), Area: true, Text: "will do in 95 of 100 months"},
			picture.Key{Colour: picture.Sky, Area: true, Text: "in 90"},
			picture.Key{Colour: picture.Blue, Area: true, Text: "in 50"},
			picture.Key{Colour: picture.Amber, Text: "reorder point"})
	})
}

// fanMonth is a stretch of days to come within one month.
type fanMonth struct {
	from, to time.Time
	demand   stock.Distribution
}

// fan are the months to come, the first and the last of them in part.
func fan(d *shop.Demand, part string, days int) []fanMonth {
	var list []fanMonth
	end := d.From.AddDate(0, 0, days)
	for from := d.From; from.Before(end); {
		to := time.Date(from.Year(), from.Month()+1, 1, 0, 0, 0, 0, time.UTC)
		if to.After(end) {
			to = end
		}
		list = append(list, fanMonth{from, to, d.Over(part, from, int(to.Sub(from).Hours()/24))})
		from = to
	}
	return list
}

func forecastPanel(d *shop.Demand, r *shop.OrderRow, days int) *plot.Plot {
	p := picture.Panel("", "", "pieces")
	p.Title.Padding = 0
	p.X.Tick.Marker, p.Y.Tick.Marker = picture.Dates{}, wholePieces{}
	h := d.History(r.Part)
	at := func(t time.Time) float64 { return float64(t.Unix()) }
	first := time.Date(d.From.Year(), d.From.Month(), 1, 0, 0, 0, 0, time.UTC)
	p.X.Min, p.X.Max = at(first), at(d.From.AddDate(0, 0, days))
	p.Y.Min, p.Y.Max = 0, 1
	top := func(n int) float64 {
		p.Y.Max = max(p.Y.Max, float64(n))
		return float64(n)
	}
	if len(h.Pieces) > 0 {
		p.X.Min = at(monthStart(h.First))
	}
	for i, n := range h.Pieces {
		if n > 0 {
			from, to := at(monthStart(h.First+stock.Month(i))), at(monthStart(h.First+stock.Month(i)+1))
			gap := (to - from) * 0.12
			p.Add(picture.Box{From: picture.Point{X: from + gap, Y: 0}, To: picture.Point{X: to - gap, Y: top(n)}, Colour: picture.Grey})
		}
	}
	for _, m := range fan(d, r.Part, days) {
		for _, q := range []struct {
			chance float64
			colour picture.Box
		}{{0.95, picture.Box{Colour: picture.Pale(picture.Blue)}}, {0.9, picture.Box{Colour: picture.Sky}}, {0.5, picture.Box{Colour: picture.Blue}}} {
			if n := m.demand.Quantile(q.chance); n > 0 {
				p.Add(picture.Box{From: picture.Point{X: at(m.from), Y: 0}, To: picture.Point{X: at(m.to), Y: top(n)}, Colour: q.colour.Colour})
			}
		}
	}
	top(r.ReorderPoint)
	p.Y.Max *= 1.08
	p.Add(picture.Line{Points: []picture.Point{{X: p.X.Min, Y: float64(r.ReorderPoint)}, {X: p.X.Max, Y: float64(r.ReorderPoint)}}, Colour: picture.Amber, Width: 1.4, Dashes: []vg.Length{5, 3}})
	p.Add(picture.Line{Points: []picture.Point{{X: at(d.From), Y: 0}, {X: at(d.From), Y: p.Y.Max}}, Colour: picture.Grey, Width: 0.7})
	style := picture.Style(picture.SizeSmall, picture.Faint)
	p.Add(picture.Label{At: picture.Point{X: p.X.Min, Y: float64(r.ReorderPoint)}, Move: vg.Point{X: 4, Y: 3}, Text: fmt.Sprintf("order below %d", r.ReorderPoint), Style: style})
	return p
}

// wholePieces names round whole numbers.
type wholePieces struct{}

// Ticks returns them.
func (wholePieces) Ticks(least, most float64) []plot.Tick {
	return slices.DeleteFunc(picture.Numbers{}.Ticks(least, most), func(t plot.Tick) bool { return t.Value != math.Trunc(t.Value) })
}

func monthStart(m stock.Month) time.Time {
	return time.Date(0, time.Month(1+int(m)), 1, 0, 0, 0, 0, time.UTC)
}
