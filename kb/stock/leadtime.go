package stock

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// LeadTime is how long an order takes: element n is the chance that it comes on
// day n after it was placed. An order that comes the day it is placed takes 0.
type LeadTime = Distribution

// NewLeadTime returns a gamma distribution with the given mean and standard
// deviation in days, in whole days: day n is the chance of n-1/2 to n+1/2, the
// first day that of up to 1/2. With a deviation of 0 it is the mean rounded
// upwards for certain, so that the stock rather lasts a day too long; with a
// mean of 0, no lead time.
func NewLeadTime(mean, sd float64) LeadTime {
	if !(mean > 0) {
		return Certain(0)
	}
	if !(sd > 0) {
		return Certain(int(math.Ceil(mean)))
	}
	shape, scale := mean*mean/(sd*sd), sd*sd/mean
	cdf := func(x float64) float64 { return mathext.GammaIncReg(shape, x/scale) }
	var d Distribution
	below := 0.0
	for n := 0; ; n++ {
		to := cdf(float64(n) + 0.5)
		d = append(d, to-below)
		below = to
		// A year and a half beyond the mean is no lead time but a lost order.
		if 1-to <= 1e-9 || float64(n) > mean+550 {
			break
		}
	}
	return d.normalised()
}

// OverLeadTime returns the demand from the day an order could have been placed
// until the next one arrives: over the lead time and the days between two
// reviews, each length mixed in by its chance. demand(n) is the demand over n
// days; it is asked only for lengths that can be.
func OverLeadTime(lead LeadTime, reviewDays int, demand func(days int) Distribution) Distribution {
	var weights []float64
	var of []Distribution
	for n, p := range lead {
		if p > 0 {
			weights, of = append(weights, p), append(of, demand(n+reviewDays))
		}
	}
	return Mixture(weights, of)
}

// Within returns the lead time with tails of at most a chance each counted to the
// shortest and the longest day that is left.
func (l LeadTime) Within(tail float64) LeadTime {
	short := slices.Clone(l)
	for n := 0; n < len(short)-1 && short[n] <= tail; n++ {
		short[n+1], short[n] = short[n+1]+short[n], 0
	}
	for n := len(short) - 1; n > 0 && short[n] <= tail; n-- {
		short[n-1] += short[n]
		short = short[:n]
	}
	return short
}
