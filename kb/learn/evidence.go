package learn

import "math"

// How alike groups are, such as the models of a family or the vans of a shop,
// is fitted to their counts by the evidence: the chance of all the counts with
// each group's own shares (or rate) integrated out. Where it is highest is the
// empirical-Bayes estimate, also called type II maximum likelihood (Good 1965,
// The Estimation of Probabilities; Minka 2000, revised 2012, Estimating a
// Dirichlet distribution, section "Polya").
//
// Groups that differ by no more than chance have an evidence that rises with
// the concentration for ever, and groups that share nothing one that rises
// towards 0; the fits then stop at a bound. A prior on the concentration keeps
// them off the bounds: uniform shrinkage (Christiansen and Morris 1997,
// Hierarchical Poisson regression modeling, JASA 92:618-632; Albert 2009,
// Bayesian Computation with R, 2nd ed., sections 5.5 and 7.5),
//
//	p(K) = z0 / (z0 + K)^2,  median z0,
//
// so called because the weight z0/(z0+K) that a group of z0 jobs keeps for its
// own counts is then as likely to be one number as another. Its density is
// taken on the scale of log K, as the books do, where its mode is z0 too: no
// counts at all give z0. A z0 of 0 switches it off.
//
// Counts may be sums of weights, but then groups look more alike than they are:
// a hundred jobs that weigh a half each scatter less than fifty jobs would, and
// the fits take that for likeness. How alike groups are is a question for
// numbers of jobs.

// Bounds of a fitted concentration (sum of Dirichlet parameters, or shape of a
// gamma). At the upper one a group of 10,000 jobs moves its own shares by one
// part in a hundred: groups so alike are one group.
const (
	minConcentration = 1e-6
	maxConcentration = 1e6
)

// shrinkage is the log density of log K for a median of z0, up to a constant,
// with its first and second derivative in K; all 0 for a z0 of 0.
func shrinkage(k, z0 float64) (l, d1, d2 float64) {
	if !(z0 > 0) {
		return 0, 0, 0
	}
	return math.Log(k) - 2*math.Log(z0+k), 1/k - 2/(z0+k), -1/(k*k) + 2/((z0+k)*(z0+k))
}

// DirichletEvidence is the log evidence of groups of counts whose shares come
// from one Dirichlet(alpha):
//
//	sum over groups i of  ln G(A)/G(A+n_i) + sum over k of ln G(alpha_k+n_ik)/G(alpha_k)
//
// with G the gamma function, A the sum of alpha and n_i that of a group's
// counts (Minka 2000). That is the chance of the jobs in the order they came:
// the multinomial coefficients, which do not depend on alpha, are left out.
// counts is groups x categories, alpha as long as each group. Counts may be
// sums of weights and are not negative; a group without any adds 0. A category
// that was counted but has no alpha gives -Inf.
func DirichletEvidence(counts [][]float64, alpha []float64) float64 {
	return tally(counts, len(alpha)).evidence(alpha)
}

// grouped holds counts by category, so that a fit costs what was counted and
// not groups times categories.
type grouped struct {
	by    []rises // categories
	total rises   // sizes of the groups
	tells bool    // whether any group has more than one job: alone they tell nothing of how groups differ
}

// tally turns groups x categories into grouped counts.
func tally(counts [][]float64, categories int) *grouped {
	t := &grouped{by: make([]rises, categories)}
	column := make([]float64, len(counts))
	for k := range categories {
		for i, group := range counts {
			column[i] = group[k]
		}
		t.by[k] = newRises(column)
	}
	for i, group := range counts {
		column[i] = addUp(group)
		t.tells = t.tells || column[i] > 1
	}
	t.total = newRises(column)
	return t
}

func (t *grouped) evidence(alpha []float64) float64 {
	all := addUp(alpha)
	if all == 0 && !t.total.none() {
		return math.Inf(-1)
	}
	l, _, _ := t.total.sum(all)
	l = -l
	for k, a := range alpha {
		one, _, _ := t.by[k].sum(a)
		l += one
	}
	return l
}
