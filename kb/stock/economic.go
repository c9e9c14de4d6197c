package stock

import "math"

// Costs are what keeping and missing parts costs. Money is in one unit.
type Costs struct {
	Holding float64 // of keeping a piece for a year, as a share of its price
	Trip    float64 // of a second trip for a piece that was missing
	Line    float64 // of ordering one part once: writing it, receiving it, putting it away
}

// yearDays is a year for rates and costs.
const yearDays = 365.25

// Fractile returns the critical fractile of one more piece that is kept for some
// days: the chance at which it will not be missed that makes it worth keeping,
// Trip / (Trip + what keeping it for the days costs).
func (c Costs) Fractile(unitCost, days float64) float64 {
	return CriticalRatio(c.Holding*unitCost*days/yearDays, c.Trip)
}

// Economic is how to stock a part so that keeping, ordering and second trips
// cost least, beside another policy at the same prices. Costs are for a year.
type Economic struct {
	Policy
	Fractile  float64 `json:"fractile"`  // of a piece kept over one review and lead time
	Lasts     float64 `json:"lasts"`     // chance that the reorder point lasts until an order comes
	Cost      float64 `json:"cost_year"` // of this policy
	OtherCost float64 `json:"service_cost_year"`
}

// NewEconomic works out the policy that costs least for a part of which `yearly`
// pieces are expected to be wanted in a year: each use, of so many pieces, that
// does not find all of them on the shelf costs a trip (see [OptimalRQ]; with one
// piece a use the costs are those of [PaidOnce]). Quantities are whole packs, and
// a part that is missing is ordered at once. The days are those that the item's
// Protect is the demand of; other is the policy it is held against. A reorder
// point of 0 is never to keep the part, but to order it when it is missing.
func NewEconomic(i *Item, other Policy, pieces Distribution, yearly, days float64, c Costs) Economic {
	e := Economic{Fractile: c.Fractile(i.UnitCost, days)}
	if !(yearly > 0) {
		e.Lasts = 1
		return e
	}
	uses := yearly / max(1, pieces.Mean())
	var known []float64
	at := func(y int) float64 {
		if y < 0 { // waiting costs nothing here, so it would seem best never to order
			return math.Inf(1)
		}
		for n := len(known); n <= y; n++ {
			known = append(known, c.Holding*i.UnitCost*i.Protect.Left(n)+c.Trip*uses*missed(i.Protect, pieces, n))
		}
		return known[y]
	}
	most := int(10*yearly) + 2*len(i.Protect) + i.Up(1)
	best := OptimalRQ(c.Line, yearly, most, len(i.Protect)+1, at)
	e.Cost = math.Inf(1)
	// The cost is level about the best quantity and rises on both sides of it, so
	// that the best whole number of packs is the next below or above.
	for _, quantity := range []int{i.Up(max(1, best.Quantity-max(1, i.Pack)+1)), i.Up(best.Quantity)} {
		reorder := bestReorder(best.Reorder, quantity, at)
		p := Policy{reorder + 1, reorder + quantity}
		if cost := policyCost(p, i.Rounding, yearly, c, at); cost < e.Cost {
			e.Policy, e.Cost = p, cost
		}
	}
	e.Lasts = i.Protect.CDF(e.ReorderPoint)
	e.OtherCost = policyCost(other, i.Rounding, yearly, c, at)
	return e
}

// missed is the chance that a use does not find all its pieces when stock and
// orders amount to y.
func missed(lead, pieces Distribution, y int) float64 {
	met := 0.0
	for demand, p := range lead[:min(len(lead), y+1)] {
		met += p * pieces.CDF(y-demand)
	}
	return max(0, 1-met)
}

// policyCost is what it costs a year to order up to a level when stock and orders
// have just fallen below the reorder point: the positions from there to the level
// are equally likely.
func policyCost(p Policy, round Rounding, yearly float64, c Costs, at func(y int) float64) float64 {
	quantity := round.Up(p.OrderUpTo - p.ReorderPoint + 1)
	return (c.Line*yearly + window(p.ReorderPoint, quantity, at)) / float64(quantity)
}

// window adds up the costs of so many positions from one on.
func window(from, positions int, at func(y int) float64) float64 {
	var sum float64
	for y := from; y < from+positions; y++ {
		sum += at(y)
	}
	return sum
}

// bestReorder is the reorder point near another, -1 or more, that costs least
// with a quantity: rounding it to packs moves where it is best to begin.
func bestReorder(near, quantity int, at func(y int) float64) int {
	first := max(-1, near-quantity)
	sum := window(first+1, quantity, at)
	best, least := first, sum
	for r := first + 1; r <= near+quantity; r++ {
		sum += at(r+quantity) - at(r)
		if sum < least-1e-12*math.Abs(least) {
			best, least = r, sum
		}
	}
	return best
}
