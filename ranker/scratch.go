package ranker

// scratch is the working memory of one ranking, kept between rankings so that
// the loops allocate nothing.
type scratch struct {
	groupMass  []float64 // by group: P(Y)
	massLog    []float64 // by group: P(Y) ln P(Y)
	groupGiven []float64 // by group: P(Y | outcome)
	outcomeP   []float64 // by outcome of the observable at hand
	rowMass    []float64 // by row: mass of the groups that have it
	mixed      []float64 // by mixed group, then by outcome: P(Y, outcome)
	fixGiven   []float64 // by fix: P(fix in Y)
	ratio      []float64 // by fix: fixGiven / minutes
	minutes    []float64 // by fix: m(f)
	curedAt    []float64 // by place in the order
	place      []int32   // by fix: its place in the order
	order      []int32   // fixes in the order they would be done
	causeGiven []float64 // by cause: P(cause | outcome)
	causeOrder []int32   // working memory of the same length
	rates      []rate    // by open observable
	sorted     []rate    // working memory of sortByDigits, as the two after it
	keys       []rateKey
	byID       []int32
	standing   []int
	spare      []int
	orders     map[string]*singleOrder // by standing, for the belief at hand
	touched    []touchedFix
	stamped    []uint32 // by fix: the stamp of the outcome that touched it last
	stamp      uint32
}

func newScratch(e *Engine) *scratch {
	var outcomes, rows, mixed int
	for i := range e.tables {
		t := &e.tables[i]
		outcomes = max(outcomes, t.k)
		rows = max(rows, len(t.h))
		mixed = max(mixed, len(t.mixed)*t.stride)
	}
	fixes, groups := len(e.model.Fixes), len(e.groups.fixes)
	s := &scratch{
		groupMass:  make([]float64, groups),
		massLog:    make([]float64, groups),
		groupGiven: make([]float64, groups),
		outcomeP:   make([]float64, outcomes),
		rowMass:    make([]float64, rows),
		mixed:      make([]float64, mixed),
		fixGiven:   make([]float64, fixes),
		ratio:      make([]float64, fixes),
		minutes:    make([]float64, fixes),
		curedAt:    make([]float64, fixes),
		place:      make([]int32, fixes),
		order:      make([]int32, fixes),
		causeGiven: make([]float64, len(e.model.Causes)),
		causeOrder: make([]int32, len(e.model.Causes)),
		rates:      make([]rate, 0, len(e.tables)),
		stamped:    make([]uint32, fixes),
		standing:   make([]int, len(e.model.States)),
		spare:      make([]int, len(e.model.States)),
	}
	if n := len(e.tables); n > fewRates {
		s.sorted, s.keys, s.byID = make([]rate, n), make([]rateKey, 2*n), make([]int32, n)
	}
	for f := range s.order {
		s.order[f] = int32(f)
	}
	return s
}

// load fills the group probabilities from a belief.
func (s *scratch) load(b *Belief) {
	g := &b.engine.groups
	clear(s.orders)
	for i := range g.fixes {
		var mass float64
		for _, w := range b.post[g.start[i]:g.start[i+1]] {
			mass += w
		}
		s.groupMass[i] = mass
		s.massLog[i] = xlogx(mass)
	}
}
