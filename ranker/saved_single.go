package ranker

import (
	"cmp"
	"math"
	"slices"
)

// singleOrder is the order of the fixes before any further finding, with the
// equipment in one standing, for models in which every hypothesis needs one fix
// at most. A finding scales the chances of all fixes that its observable does not
// bear on alike, so they keep this order, and only the few touched ones have to
// be put in their places.
type singleOrder struct {
	minutes []float64 // by fix: m(f)
	ratio   []float64 // by fix: P(fix) / m(f)
	order   []int32   // by falling ratio, ties by id
}

// touchedFix is a fix whose chance a finding moves out of proportion.
type touchedFix struct {
	fix   int32
	p     float64
	ratio float64
}

// orderFor returns the order for a standing; it is worked out once for each.
func (s *scratch) orderFor(e *Engine, standing []int) *singleOrder {
	key := make([]byte, 0, 16)
	for _, v := range standing {
		key = append(key, byte(v))
	}
	if o := s.orders[string(key)]; o != nil {
		return o
	}
	n := len(e.model.Fixes)
	o := &singleOrder{minutes: make([]float64, n), ratio: make([]float64, n), order: make([]int32, n)}
	for g, pair := range e.groups.pairs {
		if pair[0] >= 0 {
			o.ratio[pair[0]] = s.groupMass[g]
		}
	}
	for f := range o.order {
		o.order[f] = int32(f)
		o.minutes[f] = fixMinutes(e.model, &e.model.Fixes[f], standing, s.spare)
		o.ratio[f] /= o.minutes[f]
	}
	slices.SortFunc(o.order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(o.ratio[b], o.ratio[a]), cmp.Compare(e.fixID[a], e.fixID[b]))
	})
	if s.orders == nil {
		s.orders = make(map[string]*singleOrder)
	}
	s.orders[string(key)] = o
	return o
}

// savedSingle is saved for such models: R(e, o) from the touched fixes and the
// head of the order, as far as going on can pay.
func (s *scratch) savedSingle(b *Belief, tab *table, minutes, now float64) float64 {
	o := s.orderFor(b.engine, s.standing)
	cost := minutes
	for j := range tab.k {
		if p := s.outcomeP[j]; p > 0 {
			s.touch(b.engine, tab, o, j, p)
			cost += p * s.cureSingle(b.engine, o, tab.normal[j]/p)
		}
	}
	return now - cost
}

// touch fills s.touched with the fixes that outcome j moves, in their order.
func (s *scratch) touch(e *Engine, tab *table, o *singleOrder, j int, p float64) {
	s.touched = s.touched[:0]
	s.stamp++
	add := func(group int32, mass float64) {
		if f := e.groups.pairs[group][0]; f >= 0 {
			s.stamped[f] = s.stamp
			s.touched = append(s.touched, touchedFix{fix: f, p: mass, ratio: mass / o.minutes[f]})
		}
	}
	for r, q := range tab.p[j] {
		for _, g := range tab.rowGroups[tab.rowStart[r]:tab.rowStart[r+1]] {
			add(g, s.groupMass[g]*q/p)
		}
	}
	for i := range tab.mixed {
		add(tab.mixed[i].group, s.mixed[i*tab.stride+j]/p)
	}
	slices.SortFunc(s.touched, func(a, b touchedFix) int {
		return cmp.Or(cmp.Compare(b.ratio, a.ratio), cmp.Compare(e.fixID[a.fix], e.fixID[b.fix]))
	})
}

// cureSingle is repairMinutes over the touched fixes merged with the others,
// whose chances are scaled by the factor.
func (s *scratch) cureSingle(e *Engine, o *singleOrder, factor float64) float64 {
	left, cost, r := 1.0, 0.0, e.model.Escalation
	touched, rest := s.touched, o.order
	for cost < r {
		for len(rest) > 0 && s.stamped[rest[0]] == s.stamp {
			rest = rest[1:]
		}
		var f int32
		var p float64
		switch {
		case len(touched) > 0 && (len(rest) == 0 || s.comesFirst(e, o, touched[0], rest[0], factor)):
			f, p = touched[0].fix, touched[0].p
			touched = touched[1:]
		case len(rest) > 0:
			f = rest[0]
			p = o.ratio[f] * o.minutes[f] * factor
			rest = rest[1:]
		default:
			return r
		}
		if math.IsInf(o.minutes[f], 1) {
			return r
		}
		cost += o.minutes[f] * left
		left = math.Max(0, left-p)
		r = min(r, cost+left*e.model.Escalation)
	}
	return r
}

// comesFirst tells whether a touched fix is done before an untouched one.
func (s *scratch) comesFirst(e *Engine, o *singleOrder, t touchedFix, f int32, factor float64) bool {
	if other := o.ratio[f] * factor; t.ratio != other {
		return t.ratio > other
	}
	return e.fixID[t.fix] < e.fixID[f]
}
