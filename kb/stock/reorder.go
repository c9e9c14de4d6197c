package stock

import "math"

// ReorderPoint is the least stock on hand and on order that lasts until the next
// order comes with at least the chance `service`: lead is the demand over lead
// time and review.
func ReorderPoint(lead Distribution, service float64) int { return lead.Quantile(service) }

// ForFill returns the least reorder point at which orders of `quantity` pieces
// give a fill rate of at least `fill`.
func ForFill(lead, pieces Distribution, fill float64, quantity int) int {
	r := -1
	for NewService(lead, pieces, r, quantity).Fill < fill && r < len(lead)+quantity {
		r++
	}
	return r
}

// Rounding says in which numbers a part can be ordered: in whole packs, and at
// least a minimum when anything is ordered. Zero values ask for nothing.
type Rounding struct{ Pack, Minimum int }

// Up rounds a number of pieces upwards to what can be ordered; nothing stays
// nothing.
func (r Rounding) Up(pieces int) int {
	if pieces <= 0 {
		return 0
	}
	pack := max(1, r.Pack)
	pieces = max(pieces, r.Minimum)
	return int(math.Ceil(float64(pieces)/float64(pack))) * pack
}
