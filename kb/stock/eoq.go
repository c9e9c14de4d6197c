package stock

import "math"

// EOQ returns the order quantity at which ordering and holding together cost
// least for a steady demand (Harris 1913): sqrt(2 K demand / h), with K the cost
// of an order and h that of holding a piece for the time that demand counts; and
// that cost.
func EOQ(order, holding, demand float64) (quantity, cost float64) {
	return math.Sqrt(2 * order * demand / holding), math.Sqrt(2 * order * demand * holding)
}

// EOQBackorders is EOQ where what is missing waits, at a cost of shortage for a
// piece and the same time; it also returns the share of the demand that waits.
func EOQBackorders(order, holding, shortage, demand float64) (quantity, waits, cost float64) {
	more := math.Sqrt((holding + shortage) / shortage)
	quantity, cost = EOQ(order, holding, demand)
	return quantity * more, holding / (holding + shortage), cost / more
}
