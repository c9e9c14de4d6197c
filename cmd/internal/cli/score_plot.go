package cli

import (
	"fmt"
	"image/color"
	"io"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"sootsayer/cmd/internal/picture"
	"sootsayer/ranker/score"
)

// The page of the score's picture, in points.
const (
	scoreWidth  = 860
	scoreHeight = 430
)

// The names of the three ways to predict, as the picture and the table have
// them.
const (
	wayLearned   = "as learned by then"
	wayAuthored  = "base as authored"
	wayCommonest = "commonest cause"

	fromComplaint = "from the complaint"
	withAll       = "with all findings"
)

// plotScore draws a reliability diagram, and the log loss over time, as a
// picture.
func plotScore(w io.Writer, format string, r *score.Report) error {
	return picture.Write(w, format, scoreWidth, scoreHeight, func(c draw.Canvas) {
		c = picture.Page(c, fmt.Sprintf("How well %s predicted", wereScored(r)), scoredWhen(r))
		gap := c.Size().X / 2
		left, right := draw.Crop(c, 0, -gap-10, 0, 0), draw.Crop(c, gap+14, 0, 0, 0)
		const keys = 20 // the height of a row of keys
		calibrationPanel(r).Draw(draw.Crop(left, 0, 0, keys, 0))
		picture.Keys(left, left.Min.X+20, left.Min.Y+6, picture.Key{Colour: picture.Sky, Hollow: true, Text: fromComplaint}, picture.Key{Colour: picture.Blue, Text: withAll},
			picture.Key{Colour: picture.Pale(picture.Blue), Area: true, Text: "honest chances, 9 times in 10"})
		timePanel(r).Draw(draw.Crop(right, 0, -88, keys, 0))
		picture.Keys(right, right.Min.X+30, right.Min.Y+6, picture.Key{Colour: picture.Blue, Text: wayLearned},
			picture.Key{Colour: picture.Amber, Hollow: true, Text: wayAuthored}, picture.Key{Colour: picture.Grey, Text: wayCommonest})
	})
}

// Below the diagram, from 0 down, stand the numbers of jobs.
const (
	countsTop    = -0.10
	countsBottom = -0.34
)

// calibrationPanel holds what was said of the cause named first against how
// often it was that one.
func calibrationPanel(r *score.Report) *plot.Plot {
	p := picture.Panel("Can its chances be taken at their word?", "chance that was said of the cause named first", "how often it was that cause")
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, 1, countsBottom, 1
	p.X.Tick.Marker, p.Y.Tick.Marker = picture.Percents(0.2), picture.Percents(0.2)
	complaint, end := r.Calibration.Complaint.First.Learned.Bins, r.Calibration.End.First.Learned.Bins
	for _, s := range []struct {
		bins   []score.Bin
		colour color.NRGBA
	}{{complaint, picture.Sky}, {end, picture.Blue}} {
		for _, b := range s.bins {
			p.Add(picture.Box{From: picture.Point{X: b.Said - 0.008, Y: b.Low}, To: picture.Point{X: b.Said + 0.008, Y: b.High}, Colour: picture.Pale(s.colour)})
		}
	}
	p.Add(picture.Line{Points: []picture.Point{{X: 0, Y: 0}, {X: 1, Y: 1}}, Colour: picture.Grey, Width: 0.9, Dashes: []vg.Length{4, 3}})
	addReliability(p, complaint, picture.Sky, true)
	addReliability(p, end, picture.Blue, false)
	addCounts(p, complaint, end)
	return p
}

// joinedFrom is how many jobs a bin must have for the line to go through it; the
// dot of fewer stands alone and small.
const joinedFrom = 5

func addReliability(p *plot.Plot, bins []score.Bin, colour color.Color, hollow bool) {
	line := picture.Line{Colour: colour, Width: 1.4, Dot: 3.2, Hollow: hollow}
	alone := picture.Line{Colour: colour, Dot: 2.2, Hollow: hollow}
	for _, b := range bins {
		at := picture.Point{X: b.Said, Y: b.Was}
		if b.Forecasts >= joinedFrom {
			line.Points = append(line.Points, at)
		} else {
			alone.Points = append(alone.Points, at)
		}
	}
	p.Add(line, alone)
}

// addCounts draws how many jobs stand behind each bin.
func addCounts(p *plot.Plot, complaint, end []score.Bin) {
	most := 1.0
	for _, b := range append(append([]score.Bin{}, complaint...), end...) {
		most = max(most, b.Forecasts)
	}
	small := picture.Style(7, picture.Faint)
	small.XAlign = draw.XCenter
	add := func(bins []score.Bin, from, to float64, colour color.NRGBA) {
		for _, b := range bins {
			width := b.To - b.From
			top := countsBottom + (countsTop-countsBottom-0.05)*b.Forecasts/most
			p.Add(picture.Box{From: picture.Point{X: b.From + from*width, Y: countsBottom}, To: picture.Point{X: b.From + to*width, Y: top}, Colour: colour})
			p.Add(picture.Label{At: picture.Point{X: b.From + (from+to)/2*width, Y: top}, Move: vg.Point{Y: 2}, Text: fmt.Sprintf("%.0f", b.Forecasts), Style: small})
		}
	}
	add(complaint, 0.08, 0.49, picture.Sky)
	add(end, 0.51, 0.92, picture.Blue)
	p.Add(picture.Label{At: picture.Point{X: 0, Y: countsTop}, Move: vg.Point{X: 4, Y: 2}, Text: "jobs", Style: picture.Style(picture.SizeSmall, picture.Faint)})
}

// timePanel holds the log loss of the three ways to predict over time.
func timePanel(r *score.Report) *plot.Plot {
	p := picture.Panel("Surprise at the true cause, by when jobs were opened", "", "log loss, bits a job (less is better)")
	p.X.Tick.Marker, p.Y.Tick.Marker = picture.Dates{}, picture.Numbers{}
	p.Y.Min = 0
	line := func(moment func(*score.Period) float64, colour color.Color, width vg.Length, hollow bool) {
		l := picture.Line{Colour: colour, Width: width, Dot: 2.6, Hollow: hollow}
		for i := range r.OverTime {
			x := &r.OverTime[i]
			l.Points = append(l.Points, picture.Point{X: middle(x), Y: moment(x)})
			p.Y.Max = max(p.Y.Max, moment(x))
		}
		p.Add(l)
	}
	line(func(x *score.Period) float64 { return x.Complaint.Commonest }, picture.Grey, 1.2, false)
	line(func(x *score.Period) float64 { return x.Complaint.Authored }, picture.Amber, 1.2, true)
	line(func(x *score.Period) float64 { return x.Complaint.Learned }, picture.Blue, 1.6, false)
	line(func(x *score.Period) float64 { return x.End.Authored }, picture.Amber, 1.2, true)
	line(func(x *score.Period) float64 { return x.End.Learned }, picture.Blue, 1.6, false)
	p.Y.Max = max(0.1, 1.06*p.Y.Max)
	p.X.Min, p.X.Max = float64(r.OverTime[0].From.Unix()), float64(r.OverTime[len(r.OverTime)-1].To.Unix())
	last := &r.OverTime[len(r.OverTime)-1]
	for _, s := range []struct {
		y    float64
		text string
	}{{last.Complaint.Commonest, "without findings"}, {last.Complaint.Learned, fromComplaint}, {last.End.Learned, withAll}} {
		style := picture.Style(picture.SizeText, picture.Faint)
		style.YAlign = draw.YCenter
		p.Add(picture.Label{At: picture.Point{X: p.X.Max, Y: s.y}, Move: vg.Point{X: 6}, Text: s.text, Style: style})
	}
	return p
}

// middle of a period, in Unix seconds.
func middle(p *score.Period) float64 { return float64(p.From.Unix()+p.To.Unix()) / 2 }
