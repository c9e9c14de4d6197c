package ranker

import (
	"cmp"
	"math"
)

// outcomes returns each outcome of an observable with its probability, as gain
// left it in s.outcomeP, and the causes it would make likeliest. Present are the
// chances of the causes now.
func (s *scratch) outcomes(b *Belief, obs int, present []float64, opt Options) []OutcomeRank {
	e := b.engine
	given, order := s.causeGiven, s.causeOrder
	tab := &e.tables[obs]
	list := make([]OutcomeRank, tab.k)
	for j := range list {
		p := s.outcomeP[j]
		list[j] = OutcomeRank{ID: e.model.Observables[obs].Outcomes[j], Probability: p, Then: []Then{}}
		if p <= 0 {
			continue
		}
		b.causesGiven(given, present, tab, j, p)
		for _, c := range top(order, given, cmp.Or(opt.Then, 3)) {
			list[j].Then = append(list[j].Then, Then{Cause: e.model.Causes[c].ID, Probability: given[c]})
		}
	}
	return list
}

// causesGiven fills given with P(cause present | outcome j), p = P(outcome).
func (b *Belief) causesGiven(given, present []float64, tab *table, j int, p float64) {
	n := tab.normal[j]
	for c, v := range present {
		given[c] = v * n
	}
	row, hyp := tab.p[j], b.engine.hyp
	for i, set := range tab.sets {
		d := b.post[set] * (row[tab.setRow[i]] - n)
		for _, c := range hyp.flat[hyp.start[set]:hyp.start[set+1]] {
			given[c] += d
		}
	}
	for c := range given {
		given[c] = min(1, math.Max(0, given[c])/p)
	}
}

// top returns the indexes of the n greatest values, greatest first, ties by
// index; order is working memory.
func top(order []int32, v []float64, n int) []int32 {
	n = min(n, len(order))
	kept := order[:0]
	for c := range v {
		i := len(kept)
		for i > 0 && v[kept[i-1]] < v[c] {
			i--
		}
		if i >= n {
			continue
		}
		if len(kept) < n {
			kept = kept[:len(kept)+1]
		}
		copy(kept[i+1:], kept[i:len(kept)-1])
		kept[i] = int32(c)
	}
	return kept
}
