package stock

import "slices"

// fillUp adds pieces to a kit while the budget lasts: again and again what gains
// most for its cost, be it all that an unmet need misses or one more piece of a
// part. Ties go to the first need, then the first part.
func (t *tour) fillUp(carry []int) {
	for rest := t.p.Budget - t.cost(carry); ; {
		best, bestRate, bestCost := []int(nil), 0.0, 0.0
		try := slices.Clone(carry)
		consider := func(parts []int) {
			if gain, cost := t.change(try, carry, parts...), t.extra(try, carry, parts); gain > closeEnough && cost <= rest && gain/cost > bestRate {
				best, bestRate, bestCost = slices.Clone(try), gain/cost, cost
			}
			for _, i := range parts {
				try[i] = carry[i]
			}
		}
		var parts []int
		for n := range t.p.Needs {
			parts = parts[:0]
			for _, take := range t.p.Needs[n].Takes {
				if carry[take.Part] < take.Pieces && take.Pieces <= t.most[take.Part] {
					try[take.Part] = take.Pieces
					parts = append(parts, take.Part)
				}
			}
			consider(parts)
		}
		if t.p.Jobs > 1 {
			for i := range carry {
				if carry[i] < t.most[i] {
					try[i]++
					consider([]int{i})
				}
			}
		}
		if best == nil {
			return
		}
		copy(carry, best)
		rest -= bestCost
	}
}

// extra is the cost of what one kit carries more than another.
func (t *tour) extra(more, less, parts []int) float64 {
	var sum float64
	for _, i := range parts {
		sum += float64(more[i]-less[i]) * t.p.Parts[i].Cost
	}
	return sum
}

// exchangeRounds bounds how often all parts of a kit are tried for exchange.
const exchangeRounds = 3

// exchange takes a piece out, fills up what it cost otherwise, and keeps the
// change where more is filled.
func (t *tour) exchange(carry []int) {
	now := t.filled(carry)
	for range exchangeRounds {
		better := false
		for _, i := range t.worstFirst(carry) {
			if carry[i] == 0 {
				continue
			}
			try := slices.Clone(carry)
			try[i]--
			t.fillUp(try)
			if f := t.filled(try); f > now+closeEnough {
				copy(carry, try)
				now, better = f, true
			}
		}
		if !better {
			return
		}
	}
}

// mostExchanged is how many parts are tried for exchange in a round.
const mostExchanged = 40

// worstFirst orders the parts carried by what they gain for their cost.
func (t *tour) worstFirst(carry []int) []int {
	adds := t.adds(carry)
	var parts []int
	for i, n := range carry {
		if n > 0 {
			parts = append(parts, i)
		}
	}
	rate := func(i int) float64 { return adds[i] / (float64(carry[i]) * t.p.Parts[i].Cost) }
	slices.SortStableFunc(parts, func(a, b int) int {
		switch ra, rb := rate(a), rate(b); {
		case ra < rb:
			return -1
		case ra > rb:
			return 1
		}
		return 0
	})
	return parts[:min(len(parts), mostExchanged)]
}
