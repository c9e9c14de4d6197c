package stock

// Service tells how well a stock serves, in three measures that must not be
// mixed up: they differ widely for the same stock.
type Service struct {
	Cycle float64 `json:"cycle_service"` // chance that the shelf does not run empty before an order comes
	Ready float64 `json:"ready_rate"`    // share of the time with something on the shelf
	Fill  float64 `json:"fill_rate"`     // share of the pieces wanted that come from the shelf
}

// NewService returns the service of ordering `quantity` pieces, 1 or more, when
// stock on hand and on order has fallen to `reorder`, which may be -1 for "when
// a piece is owed". Lead is the demand over the lead time, pieces those taken
// by one use. Stock and orders together are then equally likely at each of
// reorder+1 to reorder+quantity, and what is on the shelf is that less the demand
// over a lead time (Hadley and Whitin 1963, chapter 4; pieces wanted in batches:
// a use takes what is there).
func NewService(lead, pieces Distribution, reorder, quantity int) Service {
	s := Service{Cycle: lead.CDF(reorder)}
	perUse := pieces.Mean()
	for y := reorder + 1; y <= reorder+quantity; y++ {
		s.Ready += lead.CDF(y - 1)
		if perUse > 0 {
			s.Fill += served(lead, pieces, y) / perUse
		}
	}
	s.Ready /= float64(quantity)
	s.Fill /= float64(quantity)
	if perUse <= 0 {
		s.Fill = 1
	}
	return s
}

// served is the expected number of pieces that a use gets from the shelf when
// stock and orders amount to y: E min(pieces, (y - lead)+).
func served(lead, pieces Distribution, y int) float64 {
	var sum float64
	for demand := 0; demand < min(y, max(1, len(lead))); demand++ {
		there := y - demand
		// E min(pieces, there) = E pieces - E(pieces - there)+
		sum += lead.At(demand) * (pieces.Mean() - pieces.Short(there))
	}
	return sum
}

// ErlangLoss is the share of the pieces wanted that find nothing on the shelf
// when each piece taken is ordered anew at once, what is missing is got
// elsewhere, and `load` pieces are wanted in a mean lead time (Erlang 1917);
// it does not depend on how the lead time is distributed.
func ErlangLoss(load float64, stock int) float64 {
	loss := 1.0
	for n := 1; n <= stock; n++ {
		loss = load * loss / (float64(n) + load*loss)
	}
	return loss
}
