package stock

import (
	"slices"
)

// KitPart is a part that a truck may carry. Cost is what a piece takes of what
// is scarce, money or slots, and is above 0. No more than Most pieces are
// carried; 0 means as many as any tour may take.
type KitPart struct {
	ID   string
	Cost float64
	Most int
}

// Need is a kind of job as a truck sees it: how often it comes, as a share of
// all jobs, and the pieces of each part, by index, that finish it. One that
// takes no parts is always finished. A part stands once at most.
type Need struct {
	Weight float64
	Takes  []Take
}

// Take is a number of pieces, 1 or more, of a part.
type Take struct{ Part, Pieces int }

// KitProblem asks what a truck should carry so that the share of jobs that can be
// finished from it is highest for the budget (the repair kit problem: Smith,
// Chambers and Shlifer 1980, Management Science 26:849-852; Graves 1982,
// Management Science 28:1330-1337). The truck is filled up after Jobs jobs, at
// least 1 (Teunter 2006, European Journal of Operational Research 175:890-902).
type KitProblem struct {
	Parts  []KitPart
	Needs  []Need
	Budget float64
	Jobs   int
}

// Kit is what a truck carries, in pieces by part, and what it is worth. Filled
// is the share of jobs finished from it; no kit for the budget fills more than
// Bound. Adds is by part: how much would be filled less without it.
type Kit struct {
	Carry  []int
	Cost   float64
	Filled float64
	Bound  float64
	Adds   []float64
}

// Gap is by how much a better kit could fill more; 0 when this is the best.
func (k *Kit) Gap() float64 { return max(0, k.Bound-k.Filled) }

// BestKit returns a kit that fills as many jobs as can be found, exact for small
// problems: a Lagrangian bound that one maximum flow solves at each price (see
// closure), its best affordable solution, filled up job by job and improved by
// exchanges, then a branch and bound of limited size. The answer is the same on
// every run.
func BestKit(p KitProblem) Kit {
	t := newTour(&p)
	_, carry, bound := t.relax(p.Budget, nil)
	t.fillUp(carry)
	t.exchange(carry)
	best := t.kit(carry)
	best.Bound = max(best.Filled, bound)
	if best.Gap() > closeEnough {
		s := search{t: t, best: best}
		best.Bound = max(s.run(), best.Filled)
		s.best.Bound = max(s.best.Filled, best.Bound)
		best = s.best
	}
	best.Adds = t.adds(best.Carry)
	return best
}

// closeEnough is a share of jobs that is not worth searching for.
const closeEnough = 1e-9

// CheapestKit returns the kit at which carrying and failing together cost least:
// the parts' costs are those of carrying a piece from one job to the next, and a
// job that cannot be finished costs penalty. The truck is filled up after each
// job. It is exact: one maximum flow.
func CheapestKit(parts []KitPart, needs []Need, penalty float64) Kit {
	t := newTour(&KitProblem{Parts: parts, Needs: needs, Jobs: 1})
	carry, _ := t.net.closure(1/penalty, nil)
	kit := t.kit(carry)
	kit.Bound = kit.Filled
	kit.Adds = t.adds(carry)
	return kit
}

// KitFor returns the cheapest kit found that fills at least a share of the jobs,
// and whether any does: the budget of BestKit is halved in on, and then lowered
// below the cost of each kit that still does. It is exact where BestKit is.
func KitFor(p KitProblem, fill float64) (Kit, bool) {
	var all float64
	t := newTour(&p)
	for i, most := range t.most {
		all += float64(most) * p.Parts[i].Cost
	}
	enough := func(budget float64) (Kit, bool) {
		p.Budget = budget
		k := BestKit(p)
		return k, k.Filled >= fill-closeEnough
	}
	best, ok := enough(all)
	if !ok {
		return best, false
	}
	for low, high := 0.0, best.Cost; high-low > 1e-3*all; {
		middle := (low + high) / 2
		if k, ok := enough(middle); ok {
			best, high = k, k.Cost
		} else {
			low = middle
		}
	}
	for best.Cost > 0 {
		k, ok := enough(best.Cost * (1 - 1e-9))
		if !ok {
			break
		}
		best = k
	}
	return best, true
}

// kit values what is carried.
func (t *tour) kit(carry []int) Kit {
	k := Kit{Carry: slices.Clone(carry), Filled: t.filled(carry)}
	k.Cost = t.cost(carry)
	return k
}

func (t *tour) cost(carry []int) float64 {
	var sum float64
	for i, n := range carry {
		sum += float64(n) * t.p.Parts[i].Cost
	}
	return sum
}

// adds returns how much less is filled without each part.
func (t *tour) adds(carry []int) []float64 {
	adds := make([]float64, len(carry))
	without := slices.Clone(carry)
	for i, n := range carry {
		if n > 0 {
			without[i] = 0
			adds[i] = t.change(carry, without, i)
			without[i] = n
		}
	}
	return adds
}
