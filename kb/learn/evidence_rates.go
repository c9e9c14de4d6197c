package learn

import "math"

// Exposed is a group of events that come at a rate: how many, and in how much
// time (or jobs, or whatever they are counted over).
type Exposed struct {
	Events   float64 // may be a sum of weights
	Exposure float64 // above 0; a group without exposure tells nothing and is left out
}

// GammaPoissonEvidence is the log evidence of groups whose rates come from one
// gamma distribution with a shape and a mean, so of rate b = shape/mean:
//
//	sum over groups of  ln G(shape+y)/G(shape) + shape ln b - (shape+y) ln(b+e)
//
// for y events in exposure e (negative binomial; Albert 2009, section 7.5; Gelman
// et al., Bayesian Data Analysis, 3rd ed., section 2.6). The factor e^y/y! of the
// chance of y events, which depends on neither, is left out.
func GammaPoissonEvidence(groups []Exposed, shape, mean float64) float64 {
	s := newSlope(2)
	newExposures(groups).slope(shape, mean, 0, s)
	return s.value
}

// RatesFit is the gamma distribution of rates that groups of events tell of.
type RatesFit struct {
	Shape       float64 // how sure: large when the groups' rates are alike
	Mean        float64 // events per unit of exposure
	LogEvidence float64 // GammaPoissonEvidence there, without the prior on the shape
	steps       int
}

// Rate is the second parameter of the gamma distribution, Shape/Mean: the
// exposure that the mean is worth to a group. +Inf for a mean of 0.
func (f *RatesFit) Rate() float64 { return f.Shape / f.Mean }

// Of is the posterior mean of a group's rate: (Shape + events) / (Rate + exposure).
func (f *RatesFit) Of(g Exposed) float64 {
	if f.Mean == 0 {
		return 0
	}
	return (f.Shape + g.Events) / (f.Rate() + g.Exposure)
}

// FitRates finds the shape and mean with the highest GammaPoissonEvidence times
// the uniform-shrinkage prior of median z0 on the shape (none with a z0 of 0;
// flat in the logarithm of the mean), by Newton steps in their logarithms from
// a moment start and some others. The shape stays between 1e-6 and 1e6; it is
// 1e6 without a prior when the rates differ by no more than chance. Without any
// event the mean is 0 and the shape z0, or 1e6 without a prior.
func FitRates(groups []Exposed, z0 float64) *RatesFit {
	t := newExposures(groups)
	if !(t.pooled > 0) {
		return &RatesFit{Shape: bounded(z0)}
	}
	var starts [][]float64
	for _, shape := range probes(t.momentShape()) {
		starts = append(starts, []float64{math.Log(shape), math.Log(t.meanFor(shape))})
	}
	x, s, steps := climbAll(func(x []float64, s *slope) {
		t.slope(math.Exp(x[0]), math.Exp(x[1]), z0, s)
	}, starts, []float64{math.Log(minConcentration), math.Inf(-1)}, []float64{math.Log(maxConcentration), math.Inf(1)})
	fit := &RatesFit{Shape: math.Exp(x[0]), Mean: math.Exp(x[1]), steps: steps}
	l, _, _ := shrinkage(fit.Shape, z0)
	fit.LogEvidence = s.value - l
	return fit
}

// momentShape is the shape at which the events spread as much as they do about
// what the pooled rate has expected, E = pooled x exposure:
// sum (y-E)^2 = sum E + sum E^2 / shape. +Inf when chance alone spreads them as
// much.
func (t *exposures) momentShape() float64 {
	var beyond, squares float64
	for _, g := range t.groups {
		e := t.pooled * g.Exposure
		beyond += (g.Events-e)*(g.Events-e) - e
		squares += e * e
	}
	if !(beyond > 0) {
		return math.Inf(1)
	}
	return squares / beyond
}

// meanFor is about the mean of the highest evidence with a given shape, by
// Newton steps in its logarithm, in which the evidence bends downwards.
func (t *exposures) meanFor(shape float64) float64 {
	u := math.Log(t.pooled)
	for range 20 {
		var grad, bend float64
		for _, g := range t.groups {
			part := g.Exposure / (shape*math.Exp(-u) + g.Exposure)
			grad += g.Events - (shape+g.Events)*part
			bend += (shape + g.Events) * part * (1 - part)
		}
		step := max(-longestStep, min(longestStep, grad/bend))
		if u += step; math.Abs(step) < 1e-3 {
			break
		}
	}
	return math.Exp(u)
}

// slope works out the slope in the logarithms of shape a and mean m. With
// b = a/m the evidence is ln G(a+y)/G(a) + a ln a + y ln m - (a+y) ln(a + e m).
func (t *exposures) slope(a, m, z0 float64, s *slope) {
	prior, prior1, prior2 := shrinkage(a, z0)
	l, d1, d2 := t.events.sum(a)
	l, d1, d2 = l+prior, d1+prior1, d2+prior2
	var byMean, byMean2, mixed float64
	for _, g := range t.groups {
		e, y := g.Exposure, g.Events
		over := 1 / (a + e*m)
		share := (a + y) * over
		less := math.Log1p(e * m / a) // ln(a + e m) - ln a
		l -= a*less + y*(less+math.Log(a)-math.Log(m))
		d1 += 1 - less - share
		d2 += 1/a - 2*over + share*over
		byMean += y/m - share*e
		byMean2 += share*over*e*e - y/(m*m)
		mixed += (share - 1) * over * e
	}
	// Any 2 x 2 matrix is a diagonal plus one of rank one, (1, 1) or (1, -1).
	s.value, s.z = l, a*m*math.Abs(mixed)
	s.rank[0], s.rank[1] = 1, math.Copysign(1, mixed)
	s.grad[0], s.grad[1] = a*d1, m*byMean
	s.diag[0], s.diag[1] = s.grad[0]+a*a*d2-s.z, s.grad[1]+m*m*byMean2-s.z
}

// exposures are groups with exposure, and their events for summing.
type exposures struct {
	groups []Exposed
	events rises
	pooled float64 // events per unit of exposure of all groups together
}

func newExposures(groups []Exposed) *exposures {
	t := &exposures{groups: make([]Exposed, 0, len(groups))}
	events, exposure := make([]float64, 0, len(groups)), 0.0
	for _, g := range groups {
		if g.Exposure > 0 {
			t.groups = append(t.groups, g)
			events = append(events, g.Events)
			exposure += g.Exposure
		}
	}
	t.events = newRises(events)
	if exposure > 0 {
		t.pooled = addUp(events) / exposure
	}
	return t
}
