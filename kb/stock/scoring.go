package stock

import "math"

// Pinball returns the loss of a forecast f of the quantile q when y came about:
// (1-q)(f-y) where y lies below f, else q(y-f) (Koenker and Bassett 1978,
// Econometrica 46:33-50; the plain form, half of that in Hyndman and
// Athanasopoulos, Forecasting: Principles and Practice, 3rd ed., section 5.9).
func Pinball(q, f, y float64) float64 {
	if y < f {
		return (1 - q) * (f - y)
	}
	return q * (y - f)
}

// Quantiles are the quantiles that forecasts are judged by: the middle, and two
// that a shelf is filled to.
var Quantiles = [...]float64{0.5, 0.9, 0.95}

// quantiles returns the Quantiles of a distribution.
func (d Distribution) quantiles() (n [len(Quantiles)]int) {
	var sum float64
	k := -1
	for i, q := range Quantiles {
		// Sums of chances are off by rounding; a chance met within it is met.
		for sum < q-1e-12 && k < len(d)-1 {
			k++
			sum += d[k]
		}
		n[i] = max(0, k)
	}
	return n
}

// pinball is the mean loss over Quantiles.
func (d Distribution) pinball(y int) float64 {
	var sum float64
	for i, f := range d.quantiles() {
		sum += Pinball(Quantiles[i], float64(f), float64(y))
	}
	return sum / float64(len(Quantiles))
}

// NaiveErrors returns the mean absolute and the root mean square of the naive
// forecast's errors in a history, which says of each month what was `season`
// months before: the scales of MASE and RMSSE (Hyndman and Koehler 2006, Int. J.
// Forecasting 22:679-688; Makridakis and others 2022, 38:1346-1364). Months that
// are Unknown are left out. NaN where there is nothing to compare.
func NaiveErrors(history []int, season int) (mae, rmse float64) {
	var absolute, squares, n float64
	for i := season; i < len(history); i++ {
		if history[i] >= 0 && history[i-season] >= 0 {
			e := float64(history[i] - history[i-season])
			absolute += math.Abs(e)
			squares += e * e
			n++
		}
	}
	return absolute / n, math.Sqrt(squares / n)
}

// MASE returns the mean absolute error of forecasts over the scale that
// NaiveErrors gives.
func MASE(forecasts []float64, actual []int, mae float64) float64 {
	var sum float64
	for i, f := range forecasts {
		sum += math.Abs(f - float64(actual[i]))
	}
	return sum / float64(len(forecasts)) / mae
}

// RMSSE returns the root mean square error of forecasts over the scale that
// NaiveErrors gives.
func RMSSE(forecasts []float64, actual []int, rmse float64) float64 {
	var sum float64
	for i, f := range forecasts {
		e := f - float64(actual[i])
		sum += e * e
	}
	return math.Sqrt(sum/float64(len(forecasts))) / rmse
}

// Winkler returns the interval score of an interval from low to high that should
// hold y with chance `level` (Winkler 1972, J. American Statistical Association
// 67:187-191): its width, and 2/(1-level) for every unit that y lies outside.
func Winkler(low, high, y, level float64) float64 {
	return high - low + 2/(1-level)*(max(0, low-y)+max(0, y-high))
}
