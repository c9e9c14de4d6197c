package ranker

import (
	"slices"

	"sootsayer/kb"
)

// Relearn returns an engine for a model that differs from this engine's in its
// numbers only, as it does after jobs were learned: the same as New(m), sooner,
// because which sets of causes there are and which of them share a row does not
// have to be worked out again. For a model of any other shape it is New(m). The
// engine itself does not change.
func (e *Engine) Relearn(m *kb.Model) *Engine {
	if !sameShape(e.model, m) {
		return New(m)
	}
	hyp, same := e.hyp.reweigh(m)
	if !same {
		return New(m)
	}
	n := &Engine{model: m, hyp: hyp, groups: e.groups, tables: slices.Clone(e.tables), fixID: e.fixID, obsID: e.obsID}
	n.fillTables(e)
	n.pool.New = func() any { return newScratch(n) }
	return n
}

// sameShape tells whether two models have the same causes, fixes and rows under
// the same indexes.
func sameShape(a, b *kb.Model) bool {
	return a.Family == b.Family &&
		slices.EqualFunc(a.Causes, b.Causes, func(x, y kb.ModelCause) bool { return x.ID == y.ID && x.Fix == y.Fix }) &&
		slices.EqualFunc(a.Fixes, b.Fixes, func(x, y kb.ModelFix) bool { return x.ID == y.ID }) &&
		len(a.States) == len(b.States) &&
		slices.EqualFunc(a.Observables, b.Observables, func(x, y kb.Observable) bool {
			return x.Kind == y.Kind && x.ID == y.ID && len(x.Outcomes) == len(y.Outcomes) &&
				slices.EqualFunc(x.Rows, y.Rows, func(r, s kb.ModelRow) bool { return r.Cause == s.Cause })
		})
}

// reweigh returns the same sets with the prior masses of another model of the
// same shape, and whether the model has no other sets and leaves out none that
// has a mass here: a chance that became 0 or 1 changes which sets there are.
func (h *hypotheses) reweigh(m *kb.Model) (*hypotheses, bool) {
	n := *h
	n.prior = make([]float64, len(h.prior))
	n.roots = make([][]rootMass, len(h.roots))
	n.frozen = true
	var all int
	for _, r := range h.roots {
		all += len(r)
	}
	room := make([]rootMass, all)
	for s, r := range h.roots {
		n.roots[s], room = room[:0:len(r)], room[len(r):]
	}
	n.weigh(m)
	n.frozen = false
	for s := range n.roots {
		if len(n.roots[s]) != len(h.roots[s]) {
			return nil, false
		}
	}
	return &n, !n.grew && n.pairs == h.pairs
}
