package learn

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// above is the chance that one share is larger than another, P(X > Y) for
// independent Beta posteriors X and Y.
//
// It is the integral of the narrower one's density times the other's
// distribution function over t = ln(x/(1-x)), by the trapezoid rule on the whole
// line: both are analytic within |Im t| < pi, so the error falls exponentially
// with the step (Trefethen and Weideman 2014, The exponentially convergent
// trapezoidal rule, SIAM Review 56:385-458). The step is half a standard
// deviation and at most 1/4, for an error below 1e-9. Far out both are powers
// of x or 1-x, and the sum goes on as a geometric series; parameters as small
// as those of rare causes have tails that do not end otherwise.
//
// A parameter of 0 stands for the limit: a share that is 0 (or 1) for certain.
// Two of them tell nothing: 1/2.
func (x beta) above(y beta) float64 {
	switch {
	case x.a <= 0 && y.a <= 0 || x.b <= 0 && y.b <= 0:
		return 0.5
	case x.a <= 0 || y.b <= 0:
		return 0
	case y.a <= 0 || x.b <= 0:
		return 1
	}
	centre, sd := x.logit()
	if _, other := y.logit(); other < sd {
		return 1 - y.above(x)
	}
	centre = max(x.powersBelow(y), min(-x.mirror().powersBelow(y.mirror()), centre))
	h := min(0.25, sd/2)
	left, leftBelow := x.tail(y, centre, h)
	right, rightAbove := x.mirror().tail(y.mirror(), -centre, h)
	middle := y.below(centre)
	return max(0, min(1, (middle+leftBelow+right-rightAbove)/(1+left+right)))
}

// logit is the mean and standard deviation of ln(x/(1-x)).
func (p beta) logit() (mean, sd float64) {
	psiA, psiA1 := digamma(p.a)
	psiB, psiB1 := digamma(p.b)
	return psiA - psiB, math.Sqrt(psiA1 + psiB1)
}

// mirror is the posterior of 1 - x.
func (p beta) mirror() beta { return beta{a: p.b, b: p.a} }

// below is the chance of a share below x, t = ln(x/(1-x)).
func (p beta) below(t float64) float64 {
	if t > 0 { // 1-x would lose its digits
		return 1 - mathext.RegIncBeta(p.b, p.a, 1/(1+math.Exp(t)))
	}
	return mathext.RegIncBeta(p.a, p.b, 1/(1+math.Exp(-t)))
}

// logDensity is that of t = ln(x/(1-x)), but for a constant.
func (p beta) logDensity(t float64) float64 {
	near := math.Log1p(math.Exp(-math.Abs(t)))
	return -p.a*(max(0, -t)+near) - p.b*(max(0, t)+near)
}

// powersBelow is the t below which x^a (1-x)^b is x^a to 1e-13.
func (x beta) powersBelow(y beta) float64 { return -math.Log(1e13 * (1 + x.b + y.b)) }

// tail sums over t = centre - h, centre - 2h and so on for ever the density of
// x relative to that at the centre, alone and times the chance of y below t.
func (x beta) tail(y beta, centre, h float64) (all, below float64) {
	top := x.logDensity(centre)
	powers := x.powersBelow(y)
	for t := centre - h; ; t -= h {
		w := math.Exp(x.logDensity(t) - top)
		all += w
		if w < 1e-18 {
			return all, below
		}
		f := y.below(t)
		below += w * f
		if t < powers {
			return all + w/math.Expm1(x.a*h), below + w*f/math.Expm1((x.a+y.a)*h)
		}
	}
}
