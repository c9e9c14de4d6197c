package stock

import (
	"math"
	"slices"
)

// Distribution is the distribution of a number of pieces: element n is the
// chance of n. Chances are not negative and sum to 1, but for a tail of at most
// [tailMass] that was cut off and given to the last element. The empty
// distribution stands for no pieces for certain.
type Distribution []float64

// tailMass is how much of an endless tail is not kept apart.
const tailMass = 1e-12

// Certain returns the distribution of exactly n pieces.
func Certain(n int) Distribution {
	d := make(Distribution, n+1)
	d[n] = 1
	return d
}

// At returns the chance of exactly n pieces.
func (d Distribution) At(n int) float64 {
	switch {
	case len(d) == 0 && n == 0:
		return 1
	case n < 0 || n >= len(d):
		return 0
	}
	return d[n]
}

// CDF returns the chance of at most n pieces.
func (d Distribution) CDF(n int) float64 {
	if n < 0 {
		return 0
	}
	if n >= len(d)-1 {
		return 1
	}
	var sum float64
	for _, p := range d[:n+1] {
		sum += p
	}
	return min(1, sum)
}

// Quantile returns the least n with a chance of at most n pieces of p or more.
func (d Distribution) Quantile(p float64) int {
	var sum float64
	for n, q := range d {
		// Sums of chances are off by rounding; a chance met within it is met.
		if sum += q; sum >= p-1e-12 {
			return n
		}
	}
	return max(0, len(d)-1)
}

// Mean returns the expected number of pieces.
func (d Distribution) Mean() float64 {
	var sum float64
	for n, p := range d {
		sum += float64(n) * p
	}
	return sum
}

// SD returns the standard deviation of the number of pieces.
func (d Distribution) SD() float64 {
	mean := d.Mean()
	var sum float64
	for n, p := range d {
		sum += (float64(n) - mean) * (float64(n) - mean) * p
	}
	return math.Sqrt(sum)
}

// Plus returns the distribution of the sum of two independent numbers.
func (d Distribution) Plus(e Distribution) Distribution {
	if len(d) == 0 {
		return slices.Clone(e)
	}
	if len(e) == 0 {
		return slices.Clone(d)
	}
	sum := make(Distribution, len(d)+len(e)-1)
	for n, p := range d {
		if p == 0 {
			continue
		}
		for m, q := range e {
			sum[n+m] += p * q
		}
	}
	return sum.trimmed()
}

// Mixture returns the distribution that is d[i] with chance weights[i]. Weights
// are not negative and sum to 1.
func Mixture(weights []float64, d []Distribution) Distribution {
	var longest int
	for i := range d {
		longest = max(longest, len(d[i]), 1)
	}
	mix := make(Distribution, longest)
	for i, w := range weights {
		if len(d[i]) == 0 {
			mix[0] += w
		}
		for n, p := range d[i] {
			mix[n] += w * p
		}
	}
	return mix.trimmed()
}

// trimmed gives a tail of at most tailMass to the last element that is kept.
func (d Distribution) trimmed() Distribution { return d.cut(tailMass) }

// cut gives a tail of at most a chance to the last element that is kept.
func (d Distribution) cut(chance float64) Distribution {
	var tail float64
	last := len(d) - 1
	for last > 0 && tail+d[last] <= chance {
		tail += d[last]
		last--
	}
	if last >= 0 {
		d = d[:last+1]
		d[last] += tail
	}
	return d
}
