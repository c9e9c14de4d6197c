package ranker

// scratch is the working memory of one ranking, kept between rankings so that
// the loops allocate nothing.
type scratch struct {
	groupMass  []float64 // by group: P(Y)
	massLog    []float64 // by group: P(Y) ln P(Y)
	groupGiven []float64 // by group: P(Y | outcome)
	outcomeP   []float64 // by outcome of the observable at hand
	rowMass    []float64 // by row: mass of the groups that have it
	setMass    []float64 // by set of a mixed group, in their order
	mixedRest  []float64 // by mixed group: mass of its sets without a row
	mixed      []float64 // by outcome, then by mixed group: P(Y, outcome)
	fixGiven   []float64 // by fix: P(fix in Y)
	ratio      []float64 // by fix: fixGiven / minutes
	minutes    []float64 // by fix: m(f)
	curedAt    []float64 // by place in the order
	place      []int32   // by fix: its place in the order
	order      []int32   // fixes in the order they would be done
	rates      []rate    // by open observable
	standing   []int
	spare      []int
}

func newScratch(e *Engine) *scratch {
	var outcomes, rows, sets, mixed, joint int
	for i := range e.tables {
		t := &e.tables[i]
		outcomes = max(outcomes, t.k)
		rows = max(rows, len(t.h))
		sets = max(sets, len(t.mixedRow))
		mixed = max(mixed, len(t.mixed))
		joint = max(joint, len(t.mixed)*t.k)
	}
	fixes, groups := len(e.model.Fixes), len(e.groups.fixes)
	s := &scratch{
		groupMass:  make([]float64, groups),
		massLog:    make([]float64, groups),
		groupGiven: make([]float64, groups),
		outcomeP:   make([]float64, outcomes),
		rowMass:    make([]float64, rows),
		setMass:    make([]float64, sets),
		mixedRest:  make([]float64, mixed),
		mixed:      make([]float64, joint),
		fixGiven:   make([]float64, fixes),
		ratio:      make([]float64, fixes),
		minutes:    make([]float64, fixes),
		curedAt:    make([]float64, fixes),
		place:      make([]int32, fixes),
		order:      make([]int32, fixes),
		rates:      make([]rate, 0, len(e.tables)),
		standing:   make([]int, len(e.model.States)),
		spare:      make([]int, len(e.model.States)),
	}
	for f := range s.order {
		s.order[f] = int32(f)
	}
	return s
}

// load fills the group probabilities from a belief.
func (s *scratch) load(b *Belief) {
	g := &b.engine.groups
	for i := range g.fixes {
		var mass float64
		for _, w := range b.post[g.start[i]:g.start[i+1]] {
			mass += w
		}
		s.groupMass[i] = mass
		s.massLog[i] = xlogx(mass)
	}
}
