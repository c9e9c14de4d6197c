package stock

import "math"

// RQ is a policy of ordering Quantity pieces whenever stock on hand and on
// order, less what is owed, falls to Reorder, and what it costs for the time
// that the demand counts.
type RQ struct {
	Reorder, Quantity int
	Cost              float64
}

// OptimalRQ returns the policy that costs least when pieces are wanted one at a
// time: order is the cost of an order, rate the pieces wanted in the time that
// costs count, and cost(y) what holding and missing cost over that time when
// stock and orders amount to y; it must fall and then rise. An order is one of
// at least 1 and at most `most` pieces; the cheapest position is at most `top`.
// The positions r+1 to r+Q are equally likely, and the best Q of them are found
// one by one from the cheapest outwards (Federgruen and Zheng 1992, Operations
// Research 40:808-813).
func OptimalRQ(order, rate float64, most, top int, cost func(y int) float64) RQ {
	y := cheapest(top, cost)
	low, high := y, y
	sum := cost(y)
	best := RQ{Reorder: y - 1, Quantity: 1, Cost: order*rate + sum}
	for high-low+1 < most {
		below, above := cost(low-1), cost(high+1)
		next := min(below, above)
		if next >= best.Cost { // one position more would raise the mean
			break
		}
		if sum += next; below <= above {
			low--
		} else {
			high++
		}
		n := high - low + 1
		best = RQ{Reorder: low - 1, Quantity: n, Cost: (order*rate + sum) / float64(n)}
	}
	return best
}

// cheapest returns the stock from 0 to top that costs least, the lowest of
// several. All are tried: a cost may be level for long before it falls.
func cheapest(top int, cost func(int) float64) int {
	least, at := cost(0), 0
	for y := 1; y <= top; y++ {
		if c := cost(y); c < least {
			least, at = c, y
		}
	}
	return at
}

// Backordered returns the cost of a stock position when what is missing waits
// and costs by time: holding and shortage for one piece over the time that costs
// count, the demand that over the lead time.
func Backordered(lead Distribution, holding, shortage float64) func(y int) float64 {
	return func(y int) float64 { return NewsvendorCost(lead, holding, shortage, y) }
}

// PaidOnce returns the cost of a stock position when each piece that is missing
// costs once, however long it takes: a second trip. Holding is for one piece over
// the time that costs count, rate the pieces wanted in it. The chance that a
// piece finds the shelf empty is that of a lead-time demand of y or more. A cost
// of this kind falls and then rises for demands with log-concave chances.
func PaidOnce(lead Distribution, holding, penalty, rate float64) func(y int) float64 {
	return func(y int) float64 {
		return holding*lead.Left(y) + penalty*rate*(1-lead.CDF(y-1))
	}
}

// SS is a policy of ordering up to UpTo whenever the stock at a review has
// fallen to Reorder or below, and what it costs a period.
type SS struct {
	Reorder, UpTo int
	Cost          float64
}

// OptimalSS returns the policy that costs least when stock is reviewed once a
// period and orders come at once: order is the cost of an order, holding and
// shortage are for one piece and period (Zheng and Federgruen 1991, Operations
// Research 39:654-665).
func OptimalSS(demand Distribution, order, holding, shortage float64) SS {
	if demand.CDF(0) >= 1 {
		return SS{Cost: 0, Reorder: -1}
	}
	s := ssSearch{demand: demand, order: order, cost: func(y int) float64 { return NewsvendorCost(demand, holding, shortage, y) }}
	up := cheapest(len(demand), s.cost)
	low := up
	for ok := true; ok; ok = s.mean(low, up) > s.cost(low) {
		low--
	}
	best := SS{low, up, s.mean(low, up)}
	for next := up + 1; s.cost(next) <= best.Cost; next++ {
		if c := s.mean(best.Reorder, next); c < best.Cost {
			best.UpTo = next
			for s.mean(best.Reorder, next) <= s.cost(best.Reorder+1) {
				best.Reorder++
			}
			best.Cost = s.mean(best.Reorder, next)
		}
	}
	return best
}

// ssSearch works out the mean cost of policies from the renewals of the stock:
// m[j] is how often it is expected to stand j below the order-up-to level
// between two orders.
type ssSearch struct {
	demand Distribution
	order  float64
	cost   func(int) float64
	m      []float64
}

// mean is the cost a period of ordering up to `up` at or below `low`.
func (s *ssSearch) mean(low, up int) float64 {
	if low >= up {
		return math.Inf(1)
	}
	sum, periods := s.order, 0.0
	for j := range up - low {
		sum += s.visits(j) * s.cost(up-j)
		periods += s.visits(j)
	}
	return sum / periods
}

func (s *ssSearch) visits(j int) float64 {
	stays := 1 - s.demand.At(0)
	for i := len(s.m); i <= j; i++ {
		if i == 0 {
			s.m = append(s.m, 1/stays)
			continue
		}
		var sum float64
		for k := 1; k <= i; k++ {
			sum += s.demand.At(k) * s.m[i-k]
		}
		s.m = append(s.m, sum/stays)
	}
	return s.m[j]
}
