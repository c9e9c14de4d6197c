package ranker

// RootChances returns, by the model's causes, the chance that each one started
// the trouble, and the chance that what started it is not listed. Together they
// sum to 1: of two independent roots each counts half. Fixes that were tried
// since are evidence, but do not change what it began with.
func (b *Belief) RootChances() (causes []float64, unlisted float64) {
	h := b.engine.hyp
	causes = make([]float64, len(b.engine.model.Causes))
	for s, w := range b.weight {
		if w == 0 {
			continue
		}
		pair := h.pairMass(s) / 2
		for _, r := range h.roots[s] {
			causes[r.cause] += w * (r.mass - pair) / h.prior[s]
		}
	}
	return causes, b.weight[0]
}

// pairMass is the part of a set's prior that two independent roots account for.
// They count it twice among the set's roots, and nothing else counts twice.
func (h *hypotheses) pairMass(set int) float64 {
	if len(h.causes[set]) != 2 {
		return 0
	}
	pair := -h.prior[set]
	for _, r := range h.roots[set] {
		pair += r.mass
	}
	return max(0, pair)
}
