package picture

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/plot"
)

// Percents names every part of a range from 0 to 1 in percent.
type Percents float64

// Ticks returns them.
func (step Percents) Ticks(_, _ float64) []plot.Tick {
	var ticks []plot.Tick
	for i := 0; float64(i)*float64(step) < 1+1e-9; i++ {
		v := float64(i) * float64(step)
		ticks = append(ticks, plot.Tick{Value: v, Label: fmt.Sprintf("%.0f%%", 100*v)})
	}
	return ticks
}

// Numbers names round numbers, some six of them.
type Numbers struct{}

// Ticks returns them.
func (Numbers) Ticks(least, most float64) []plot.Tick {
	step := math.Pow(10, math.Floor(math.Log10((most-least)/6)))
	for _, by := range []float64{2, 2.5, 2} { // 2, 5, 10
		if (most-least)/step <= 7 {
			break
		}
		step *= by
	}
	var ticks []plot.Tick
	for i := math.Ceil(least / step); i*step <= most+1e-9*step; i++ {
		ticks = append(ticks, plot.Tick{Value: i * step, Label: fmt.Sprintf("%.6g", i*step)})
	}
	return ticks
}

// Dates names days on an axis of Unix seconds: the first of every so many
// months, some six of them.
type Dates struct{}

// Ticks returns them.
func (Dates) Ticks(least, most float64) []plot.Tick {
	from, to := time.Unix(int64(least), 0).UTC(), time.Unix(int64(most), 0).UTC()
	months := to.Sub(from).Hours() / 24 / 30.44
	every := 1200
	for _, n := range []int{1, 2, 3, 6, 12, 24, 60, 120, 240} {
		if months/float64(n) <= 6 {
			every = n
			break
		}
	}
	if months < 2 {
		return days(from, to)
	}
	var ticks []plot.Tick
	start := (from.Year()*12 + int(from.Month()) - 1) / every * every
	for m := start; ; m += every {
		day := time.Date(m/12, time.Month(m%12+1), 1, 0, 0, 0, 0, time.UTC)
		if day.After(to) {
			return ticks
		}
		label := day.Format("Jan 2006")
		if every >= 12 {
			label = day.Format("2006")
		}
		ticks = append(ticks, plot.Tick{Value: float64(day.Unix()), Label: label})
	}
}

// days names the first and the last day of a short time.
func days(from, to time.Time) []plot.Tick {
	ticks := []plot.Tick{{Value: float64(from.Unix()), Label: from.Format("2 Jan 2006")}}
	if to.Sub(from) > 7*24*time.Hour {
		ticks = append(ticks, plot.Tick{Value: float64(to.Unix()), Label: to.Format("2 Jan 2006")})
	}
	return ticks
}
