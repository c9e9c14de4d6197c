package stock

import "math"

// Poisson returns the Poisson distribution with the given mean, 0 or more.
// Masses are worked out outwards from the mode, so that large means do not
// underflow.
func Poisson(mean float64) Distribution {
	if !(mean > 0) {
		return Certain(0)
	}
	mode := int(mean)
	lg, _ := math.Lgamma(float64(mode) + 1)
	return outwards(mode, math.Exp(float64(mode)*math.Log(mean)-mean-lg), func(n int) float64 { return mean / float64(n) })
}

// NegativeBinomial returns the distribution of a Poisson number whose mean is
// Gamma with the given shape and mean: with r = shape and p = r/(r+mean), the
// chance of n is C(n+r-1, n) p^r (1-p)^n. It is the predictive distribution of
// uses when the rate is known as a Gamma only. An infinite shape gives the
// Poisson distribution.
func NegativeBinomial(shape, mean float64) Distribution {
	switch {
	case !(mean > 0):
		return Certain(0)
	case math.IsInf(shape, 1):
		return Poisson(mean)
	}
	return appendNegativeBinomial(nil, shape, mean)
}

// longest is where a distribution ends whose tail hardly falls.
const longest = 1 << 20

// appendNegativeBinomial appends the negative binomial distribution to a buffer,
// from nothing on where the chance of nothing does not underflow. It is Poisson
// for an infinite shape, and nothing for certain without a mean.
func appendNegativeBinomial(buffer Distribution, shape, mean float64) Distribution {
	if !(mean > 0) {
		return append(buffer, 1)
	}
	// p(n)/p(n-1) = a + b/n, as in Panjer's recursion.
	a, b, logZero := 0.0, mean, -mean
	if !math.IsInf(shape, 1) {
		a = mean / (shape + mean)
		b = a * (shape - 1)
		logZero = shape * math.Log1p(-a)
	}
	if logZero < leastStart {
		if math.IsInf(shape, 1) {
			return append(buffer, Poisson(mean)...)
		}
		return append(buffer, fromMode(shape, mean)...)
	}
	at := math.Exp(logZero)
	sum := at
	start := len(buffer)
	buffer = append(buffer, at)
	for n := 1.0; ; n++ {
		r := a + b/n
		at *= r
		sum += at
		buffer = append(buffer, at)
		// r goes to a: downwards where b is above 0, else upwards.
		if top := max(r, a); top < 1 && at*top/(1-top) <= tailMass || len(buffer) > longest {
			break
		}
	}
	for n := start; n < len(buffer); n++ {
		buffer[n] /= sum
	}
	return buffer
}

// fromMode works out a negative binomial outwards from its mode, so that a
// large mean does not underflow.
func fromMode(shape, mean float64) Distribution {
	q := mean / (shape + mean)
	mode := 0
	if shape > 1 {
		mode = int((shape - 1) * mean / shape)
	}
	a, _ := math.Lgamma(float64(mode) + shape)
	b, _ := math.Lgamma(shape)
	c, _ := math.Lgamma(float64(mode) + 1)
	at := math.Exp(a - b - c + shape*math.Log1p(-q) + float64(mode)*math.Log(q))
	return outwards(mode, at, func(n int) float64 { return q * (float64(n) - 1 + shape) / float64(n) })
}

// outwards fills a distribution from its mode, ratio(n) being the chance of n
// over that of n-1, up to a tail of at most tailMass.
func outwards(mode int, at float64, ratio func(n int) float64) Distribution {
	d := make(Distribution, mode+1, 2*mode+32)
	d[mode] = at
	for n := mode; n > 0; n-- {
		d[n-1] = d[n] / ratio(n)
	}
	// Beyond the mode the ratios fall, to r say, and what is left is at most
	// the last mass times r/(1-r).
	for n := mode + 1; ; n++ {
		r := ratio(n)
		next := d[n-1] * r
		d = append(d, next)
		if r < 1 && next*r/(1-r) <= tailMass {
			break
		}
	}
	return d.normalised()
}

// normalised makes the chances sum to 1, in place.
func (d Distribution) normalised() Distribution {
	var sum float64
	for _, p := range d {
		sum += p
	}
	for n := range d {
		d[n] /= sum
	}
	return d
}
