package stock

import "math"

// How a method is calibrated: over the last calibrateWindows stretches of
// windowMonths each, with which shares of its demand, and how much of the least
// pinball loss may be given away.
const (
	calibrateWindows = 6
	windowMonths     = 3
	leastWindows     = 200
	calibrateLoss    = 0.01
	calibrateTarget  = 0.9
	scoredTail       = 1e-5 // quantiles up to 0.95 do not need more
	scoredMost       = 500  // parts taken by the hundred do not count
)

var keeps = [...]float64{0.75, 0.8, 0.85, 0.9, 0.95, 1, 1.05, 1.1, 1.15, 1.2, 1.25}

// calibration counts how a method did with each of the keeps.
type calibration struct {
	month, window, covered [len(keeps)]float64
	windows                float64
}

// calibrated finds the share of a method's demand that really comes: demand may
// rise or fall in the whole shop, which no method sees at once. Pinball losses, of
// a month and of three months ahead, hardly tell shares of 0.85 and 1 apart; of
// the shares within calibrateLoss of the least loss, the one is taken with which
// the 0.9 quantile of three months covered closest to 0.9 of what came. With
// fewer than leastWindows to count it is 1.
func (f *Forecaster) calibrated(parts []History, m Method) float64 {
	var of [chunks]calibration
	inChunks(len(parts), f.options.Workers, func(chunk, from, to int) {
		var room [3]Distribution
		for i := from; i < to; i++ {
			of[chunk].count(&parts[i], m, &room)
		}
	})
	var c calibration
	for _, x := range of {
		for k := range keeps {
			c.month[k] += x.month[k]
			c.window[k] += x.window[k]
			c.covered[k] += x.covered[k]
		}
		c.windows += x.windows
	}
	return c.best()
}

func (c *calibration) best() float64 {
	if c.windows < leastWindows {
		return 1
	}
	loss := func(k int) float64 { return c.month[k]/least(c.month[:]) + c.window[k]/least(c.window[:]) }
	lowest := math.Inf(1)
	for k := range keeps {
		lowest = min(lowest, loss(k))
	}
	best, off := 1.0, math.Inf(1)
	for k, keep := range keeps {
		if d := math.Abs(c.covered[k]/c.windows - calibrateTarget); loss(k) <= lowest*(1+calibrateLoss) && d < off {
			best, off = keep, d
		}
	}
	return best
}

func least(x []float64) float64 {
	l := x[0]
	for _, v := range x {
		l = min(l, v)
	}
	return l
}

// count forecasts the first month and all months of the part's last windows.
func (c *calibration) count(h *History, m Method, room *[3]Distribution) {
	t := m.Begin()
	n := len(h.Pieces)
	for i := range h.Pieces {
		if left := n - i; i >= warmUp && left%windowMonths == 0 && left <= calibrateWindows*windowMonths {
			c.countWindow(t, h.First+Month(i), h.Pieces[i:i+windowMonths], room)
		}
		t.See(h.at(i))
	}
}

func (c *calibration) countWindow(t Track, from Month, came []int, room *[3]Distribution) {
	var sum int
	for _, y := range came {
		if y < 0 {
			return
		}
		sum += y
	}
	spans := WholeMonths(from, windowMonths)
	room[0] = t.Ahead(spans[:1], room[0]).cut(scoredTail)
	room[1] = t.Ahead(spans, room[1]).cut(scoredTail)
	if len(room[1]) > scoredMost {
		return
	}
	c.windows++
	for k, keep := range keeps {
		room[2] = room[0].thinnedInto(room[2], keep)
		c.month[k] += room[2].pinball(came[0])
		room[2] = room[1].thinnedInto(room[2], keep)
		c.window[k] += room[2].pinball(sum)
		if float64(sum) <= float64(room[2].Quantile(calibrateTarget)) {
			c.covered[k]++
		}
	}
}
