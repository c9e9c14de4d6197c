package ranker

import (
	"cmp"
	"slices"
	"sync"

	"sootsayer/kb"
)

// Engine is a family's model compiled for ranking. It is not changed after New
// and may be used by many goroutines.
type Engine struct {
	model  *kb.Model
	hyp    *hypotheses
	groups groups
	tables []table // by observable
	fixID  []int32 // rank of each fix's id, to break ties
	obsID  []int32 // rank of each observable's id, likewise
	pool   sync.Pool
}

// groups are the distinct answers to "what has to be done": the sets of fixes
// that hypotheses need. Hypotheses are ordered by group, so that group g holds
// the sets start[g] to start[g+1]. Group 0 is escalation.
type groups struct {
	of     []int32    // by set
	start  []int32    // by group, one more than there are groups
	fixes  [][]int32  // by group; empty for escalation
	pairs  [][2]int32 // by group: its one fix twice, or its two; -1 for none or more
	single bool       // no group has more than one fix
}

// setPairs fills pairs: most groups have one or two fixes, and loops over groups
// need not follow a slice for those.
func (g *groups) setPairs() {
	g.pairs = make([][2]int32, len(g.fixes))
	g.single = true
	for i, fixes := range g.fixes {
		g.single = g.single && len(fixes) <= 1
		switch len(fixes) {
		case 1:
			g.pairs[i] = [2]int32{fixes[0], fixes[0]}
		case 2:
			g.pairs[i] = [2]int32{fixes[0], fixes[1]}
		default:
			g.pairs[i] = [2]int32{-1, -1}
		}
	}
}

// New compiles a model.
func New(m *kb.Model) *Engine {
	e := &Engine{model: m, hyp: enumerate(m)}
	e.groupByFixes()
	e.compileTables()
	e.fillTables(nil)
	e.fixID = ranks(len(m.Fixes), func(i int) string { return m.Fixes[i].ID })
	e.obsID = ranks(len(m.Observables), func(i int) string { return m.Observables[i].ID + " " + m.Observables[i].Kind })
	e.pool.New = func() any { return newScratch(e) }
	return e
}

// ranks returns for each of n things the place of its id among all ids.
func ranks(n int, id func(int) string) []int32 {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(id(a), id(b)) })
	rank := make([]int32, n)
	for r, i := range order {
		rank[i] = int32(r)
	}
	return rank
}

// Model returns the model the engine was made from.
func (e *Engine) Model() *kb.Model { return e.model }

// groupByFixes reorders the hypotheses by the fixes they need.
func (e *Engine) groupByFixes() {
	h := e.hyp
	need := make([][]int32, len(h.causes))
	number := make(map[string]int32)
	of := make([]int32, len(h.causes))
	for s, causes := range h.causes {
		for _, c := range causes {
			need[s] = append(need[s], int32(e.model.Causes[c].Fix))
		}
		slices.Sort(need[s])
		need[s] = slices.Compact(need[s])
		key := setKey(need[s])
		g, known := number[key]
		if !known {
			g = int32(len(number))
			number[key] = g
			e.groups.fixes = append(e.groups.fixes, need[s])
		}
		of[s] = g
	}
	order := make([]int32, len(of))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(of[a], of[b]) })
	h.reorder(order)
	e.groups.setPairs()
	e.groups.of = make([]int32, len(of))
	e.groups.start = make([]int32, len(number)+1)
	for s, old := range order {
		e.groups.of[s] = of[old]
		e.groups.start[of[old]+1] = int32(s) + 1
	}
}

func (h *hypotheses) reorder(order []int32) {
	causes, prior, roots := h.causes, h.prior, h.roots
	h.causes = make([][]int32, len(order))
	h.prior = make([]float64, len(order))
	h.roots = make([][]rootMass, len(order))
	for s, old := range order {
		h.causes[s], h.prior[s], h.roots[s] = causes[old], prior[old], roots[old]
		h.index[setKey(h.causes[s])] = int32(s)
		h.start = append(h.start, int32(len(h.flat)))
		h.flat = append(h.flat, h.causes[s]...)
	}
	h.start = append(h.start, int32(len(h.flat)))
}
