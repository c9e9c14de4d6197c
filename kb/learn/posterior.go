package learn

import "gonum.org/v1/gonum/mathext"

// beta is the Beta(a, b) posterior of a chance, or the marginal of one outcome
// of a Dirichlet posterior. With nothing behind it, neither a starting strength
// nor a job, a and b are 0 and it stays at its start.
type beta struct{ a, b, start float64 }

// posterior is the Beta posterior of a chance that started at `start`, worth
// `strength` jobs, after `hits` in `trials`: a = strength x start + hits,
// b = strength x (1 - start) + trials - hits (Gelman et al., Bayesian Data
// Analysis, 3rd ed., section 2.4). A start of 0 or 1 is moved by the counts.
func posterior(strength, start, hits, trials float64) beta {
	// What was taken back may leave hits above trials by a rounding error.
	return beta{a: strength*start + hits, b: max(0, strength*(1-start)+trials-hits), start: start}
}

// mean is a / (a + b).
func (p beta) mean() float64 {
	if n := p.a + p.b; n > 0 {
		return p.a / n
	}
	return p.start
}

// Interval returns the central interval of a Beta(a, b) distribution that holds
// a chance with probability level (0.9 for 90 %): its (1-level)/2 and
// (1+level)/2 quantiles; level 0 gives the median twice. A parameter of 0
// stands for the limit: all at 0 when a is 0, all at 1 when b is 0, and the
// whole of [0,1] when both are.
func Interval(a, b, level float64) (low, high float64) {
	switch {
	case a <= 0 && b <= 0:
		return 0, 1
	case a <= 0:
		return 0, 0
	case b <= 0:
		return 1, 1
	}
	// The quantile of gonum's stat/distuv.Beta, without its matrix packages.
	tail := (1 - level) / 2
	return mathext.InvRegIncBeta(a, b, tail), mathext.InvRegIncBeta(a, b, 1-tail)
}

// dirichlet moves a distribution to the mean of its Dirichlet posterior:
// (strength x start + count) / (strength + all counts), by outcome (Bayesian
// Data Analysis, section 3.4).
func dirichlet(p []float64, strength float64, counts []float64) {
	var trials float64
	for _, n := range counts {
		trials += n
	}
	for j := range p {
		p[j] = posterior(strength, p[j], counts[j], trials).mean()
	}
}
