package learn

import (
	"math"
	"slices"
)

// FitConcentration finds how many jobs given mean shares are worth to a group:
// the kappa with the highest DirichletEvidence of alpha = kappa x mean, times
// the uniform-shrinkage prior of median z0 (none with a z0 of 0). counts is
// groups x categories, mean sums to 1.
//
// Without a prior kappa is 1e6, the bound, when the groups differ by no more
// than chance, no group has more than one job or there is but one category; with
// one it then lies above z0, by as much as the counts rule out smaller ones.
// Without counts it is z0.
// Categories whose mean is 0 must not have been counted.
func FitConcentration(counts [][]float64, mean []float64, z0 float64) (kappa float64) {
	t := tally(counts, len(mean))
	if !t.tells || slices.Max(mean) >= 1 {
		return bounded(z0)
	}
	var starts [][]float64
	for _, k := range probes(z0) {
		starts = append(starts, []float64{math.Log(k)})
	}
	x, _, _ := climbAll(func(x []float64, s *slope) {
		concentrationSlope(t, mean, z0, math.Exp(x[0]), s)
	}, starts, []float64{math.Log(minConcentration)}, []float64{math.Log(maxConcentration)})
	return math.Exp(x[0])
}

// concentrationSlope works out the slope in the logarithm of kappa.
func concentrationSlope(t *grouped, mean []float64, z0, kappa float64, s *slope) {
	l, d1, d2 := shrinkage(kappa, z0)
	byAll, byAll1, byAll2 := t.total.sum(kappa)
	l, d1, d2 = l-byAll, d1-byAll1, d2-byAll2
	for k, m := range mean {
		if m > 0 {
			c, c1, c2 := t.by[k].sum(kappa * m)
			l += c
			d1 += m * c1
			d2 += m * m * c2
		}
	}
	s.value, s.grad[0], s.diag[0] = l, kappa*d1, kappa*d1+kappa*kappa*d2
}
