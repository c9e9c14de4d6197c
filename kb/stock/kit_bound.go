package stock

import "math"

// fixed says what a search has decided: at least `in` pieces of each part and at
// most `out`; nil for nothing.
type fixed struct{ in, out []int }

// mostPrices bounds how many prices are tried; each is a maximum flow.
const mostPrices = 40

// relax returns the price of the budget at which the Lagrangian bound is least,
// the best kit of any price that can be afforded, and the bound: no kit within
// the budget and the limits fills more. At a price, gains less price x cost are
// highest for a closed set of pieces, which one maximum flow finds; between two
// prices, one too low and one too high, the next is where their lines cross.
func (t *tour) relax(budget float64, f *fixed) (price float64, carry []int, bound float64) {
	const free = 0
	low, gainLow := t.net.closure(free, f)
	costLow := t.cost(low)
	if costLow <= budget {
		return free, low, t.always + gainLow
	}
	high, gainHigh := t.net.closure(math.Inf(1), f)
	costHigh := t.cost(high)
	bound = gainLow
	for range mostPrices {
		price = (gainLow - gainHigh) / (costLow - costHigh)
		between, gain := t.net.closure(price, f)
		cost := t.cost(between)
		bound = min(bound, gain+price*(budget-cost))
		if gain-price*cost <= gainHigh-price*costHigh+closeEnough {
			break // no kit lies above the line between the two
		}
		if cost <= budget {
			high, gainHigh, costHigh = between, gain, cost
		} else {
			gainLow, costLow = gain, cost
		}
	}
	return price, high, t.always + bound
}

// search is a branch and bound over how many pieces of each part are carried.
type search struct {
	t    *tour
	best Kit
	runs int     // how many flows may have been worked out at the end
	open float64 // the highest bound of what was not looked into
}

// searchWork is how much is worked out before a search gives up, in edges of
// flow networks; what it has not looked into stays in the bound.
const searchWork = 2_000_000

// run searches, and returns a bound on what any kit fills.
func (s *search) run() float64 {
	parts := len(s.t.p.Parts)
	root := fixed{in: make([]int, parts), out: make([]int, parts)}
	copy(root.out, s.t.most)
	s.runs = s.t.net.runs + searchWork/(1+len(s.t.net.flow.from))
	s.visit(root)
	return max(s.open, s.best.Filled)
}

func (s *search) visit(f fixed) {
	t := s.t
	if t.cost(f.in) > t.p.Budget {
		return
	}
	_, carry, bound := t.relax(t.p.Budget, &f)
	if bound <= s.best.Filled+closeEnough {
		return
	}
	if t.net.runs > s.runs {
		s.open = max(s.open, bound)
		return
	}
	if k := t.kit(carry); k.Cost <= t.p.Budget && k.Filled > s.best.Filled {
		s.best = k
	}
	i, at := s.branch(&f, carry)
	if i < 0 {
		// Every piece is decided; what the bound leaves open is due to demands
		// counted as better than independent, not to another kit.
		return
	}
	more, fewer := fixed{in: clone(f.in), out: f.out}, fixed{in: f.in, out: clone(f.out)}
	more.in[i] = at
	fewer.out[i] = at - 1
	s.visit(more)
	s.visit(fewer)
}

// branch picks the undecided piece that costs most among those that the price
// would take or leave: next to what is carried.
func (s *search) branch(f *fixed, carry []int) (part, at int) {
	part = -1
	var dearest float64
	for i := range carry {
		if f.in[i] >= f.out[i] {
			continue
		}
		n := carry[i] + 1
		if n > f.out[i] {
			n = carry[i]
		}
		if cost := s.t.p.Parts[i].Cost; n > f.in[i] && cost > dearest {
			part, at, dearest = i, n, cost
		}
	}
	return part, at
}

func clone(v []int) []int { return append([]int(nil), v...) }
