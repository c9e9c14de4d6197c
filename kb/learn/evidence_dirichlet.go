package learn

import (
	"math"
	"slices"
)

// DirichletFit is the Dirichlet distribution that groups of counts tell of.
type DirichletFit struct {
	Alpha       []float64 // by category; 0 for one that no group has
	LogEvidence float64   // DirichletEvidence there, without the prior on the concentration
	steps       int
}

// Concentration is the sum of Alpha: how many jobs the mean shares are worth to
// a group.
func (f *DirichletFit) Concentration() float64 { return addUp(f.Alpha) }

// FitDirichlet finds the alpha with the highest DirichletEvidence times the
// uniform-shrinkage prior of median z0 on its sum (none with a z0 of 0; flat in
// the logits of the mean), by Newton steps in the logarithms of alpha from a
// moment start and some others. counts is groups x categories.
//
// The sum of alpha stays between 1e-6 and 1e6; it is 1e6 without a prior when
// the groups differ by no more than chance, or when no group has more than one
// job, so that nothing tells how groups differ. Without any count there are no
// shares to tell and alpha is all 0.
func FitDirichlet(counts [][]float64, z0 float64) *DirichletFit {
	mean, ratio, size := spread(counts)
	fit := &DirichletFit{Alpha: slices.Clone(mean)}
	if len(mean) == 0 || addUp(mean) == 0 {
		return fit
	}
	t := tally(counts, len(mean))
	sizes := probes(momentConcentration(ratio, size))
	starts := make([][]float64, len(sizes))
	var seen []int // categories that a group has; the others stay at 0
	for k, m := range mean {
		if m > 0 {
			seen = append(seen, k)
			for i, start := range sizes {
				starts[i] = append(starts[i], math.Log(start*m))
			}
		}
	}
	if len(seen) > 1 && t.tells {
		var x []float64
		x, fit.steps = climbDirichlet(t, seen, starts, z0)
		for i, k := range seen {
			fit.Alpha[k] = math.Exp(x[i])
		}
	} else {
		multiply(fit.Alpha, bounded(z0))
	}
	fit.keepWithin(counts, mean)
	fit.LogEvidence = t.evidence(fit.Alpha)
	return fit
}

// climbDirichlet finds the logarithms of the alphas of the categories seen.
func climbDirichlet(t *grouped, seen []int, starts [][]float64, z0 float64) (x []float64, steps int) {
	low, high := make([]float64, len(seen)), make([]float64, len(seen))
	for i := range seen {
		low[i], high[i] = math.Inf(-1), math.Inf(1)
	}
	x, _, steps = climbAll(func(x []float64, s *slope) {
		all := 0.0
		for i := range x {
			s.rank[i] = math.Exp(x[i])
			all += s.rank[i]
		}
		l, d1, d2 := shrinkage(all, z0)
		byAll, byAll1, byAll2 := t.total.sum(all)
		s.value, s.z = l-byAll, d2-byAll2
		s.stop = all < minConcentration || all > maxConcentration
		for i, a := range s.rank {
			l, a1, a2 := t.by[seen[i]].sum(a)
			s.value += l
			s.grad[i] = a * (a1 + d1 - byAll1)
			s.diag[i] = s.grad[i] + a*a*a2
		}
	}, starts, low, high)
	return x, steps
}

// keepWithin brings a concentration beyond a bound back to it, with the mean
// that belongs there: with groups alike the share of all counts, with groups of
// one category each the share of groups, which is the mean of the groups' own.
func (f *DirichletFit) keepWithin(counts [][]float64, mean []float64) {
	switch k := f.Concentration(); {
	case k < minConcentration:
		f.Alpha = mean
		multiply(f.Alpha, minConcentration)
	case k > maxConcentration:
		clear(f.Alpha)
		for _, group := range counts {
			for j, n := range group {
				f.Alpha[j] += n
			}
		}
		multiply(f.Alpha, maxConcentration/addUp(f.Alpha))
	}
}

// bounded is the concentration when the counts tell nothing of it: the prior's
// median, or the upper bound without a prior.
func bounded(z0 float64) float64 {
	if !(z0 > 0) {
		return maxConcentration
	}
	return min(maxConcentration, max(minConcentration, z0))
}

// spread is the mean of the groups' own shares, each group counting alike, the
// sum over the categories of the shares' variances (by the number of groups)
// over that of mean x (1-mean), and the harmonic mean of the groups' sizes.
// Groups without counts are left out.
func spread(counts [][]float64) (mean []float64, ratio, size float64) {
	var groups float64
	var squares []float64
	for _, group := range counts {
		if mean == nil {
			mean, squares = make([]float64, len(group)), make([]float64, len(group))
		}
		total := addUp(group)
		if !(total > 0) {
			continue
		}
		groups++
		size += 1 / total
		for k, n := range group {
			mean[k] += n / total
			squares[k] += (n / total) * (n / total)
		}
	}
	if groups == 0 {
		return mean, 0, 0
	}
	var between, within float64
	for k := range mean {
		mean[k] /= groups
		between += squares[k]/groups - mean[k]*mean[k]
		within += mean[k] * (1 - mean[k])
	}
	return mean, between / within, groups / size
}

// momentConcentration is the concentration A at which shares of groups of some
// size spread as much as they do: ratio = (A + size) / (size (A + 1)). An
// infinite size leaves chance out of account: A = m(1-m)/v - 1 (Gelman et al.,
// Bayesian Data Analysis, 3rd ed., section 5.1). +Inf when chance alone spreads
// them as much.
func momentConcentration(ratio, size float64) float64 {
	if math.IsInf(size, 1) {
		return 1/ratio - 1
	}
	if beyond := ratio*size - 1; beyond > 0 {
		return size * (1 - ratio) / beyond
	}
	return math.Inf(1)
}

func addUp(list []float64) float64 {
	total := 0.0
	for _, v := range list {
		total += v
	}
	return total
}

func multiply(list []float64, by float64) {
	for i := range list {
		list[i] *= by
	}
}
