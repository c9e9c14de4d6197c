package stock

import "time"

// OpenOrder is what is left to come of one order.
type OpenOrder struct {
	At  time.Time `json:"at"`
	By  string    `json:"by,omitempty"`
	Qty float64   `json:"qty"`
}

// orderBook keeps what is on order of one part. What comes in belongs to the
// oldest order, what is cancelled to the newest. A receipt that is put right
// gives back first what came beyond the orders, then what it took from them.
type orderBook struct {
	open   []OpenOrder
	ahead  float64   // pieces cancelled before they were ordered
	taken  float64   // pieces that came in against orders
	beyond float64   // of the last receipt: pieces that nobody had ordered
	last   OpenOrder // the order that pieces came in against last
}

func (b *orderBook) order(m *Movement) {
	qty := m.Qty
	if qty > 0 {
		known := min(b.ahead, qty)
		b.ahead = tidy(b.ahead - known)
		if qty = tidy(qty - known); qty > 0 {
			b.open = append(b.open, OpenOrder{At: m.At, By: m.By, Qty: qty})
		}
		return
	}
	left := -qty
	for left > 0 && len(b.open) > 0 {
		left = b.takeFrom(len(b.open)-1, left)
	}
	b.ahead = tidy(b.ahead + left)
}

func (b *orderBook) receive(m *Movement) {
	if m.Qty < 0 {
		b.giveBack(-m.Qty)
		return
	}
	left := m.Qty
	for left > 0 && len(b.open) > 0 {
		b.last = b.open[0]
		left = b.takeFrom(0, left)
	}
	b.beyond = left
	b.taken = tidy(b.taken + m.Qty - left)
}

// takeFrom takes pieces off an open order and returns what is left to take.
func (b *orderBook) takeFrom(i int, pieces float64) float64 {
	o := &b.open[i]
	n := min(o.Qty, pieces)
	if o.Qty = tidy(o.Qty - n); o.Qty == 0 {
		b.open = append(b.open[:i], b.open[i+1:]...)
	}
	return tidy(pieces - n)
}

func (b *orderBook) giveBack(pieces float64) {
	n := min(b.beyond, pieces)
	b.beyond = tidy(b.beyond - n)
	n = min(b.taken, tidy(pieces-n))
	b.taken = tidy(b.taken - n)
	if n <= 0 {
		return
	}
	if len(b.open) > 0 && b.open[0].At.Equal(b.last.At) {
		b.open[0].Qty = tidy(b.open[0].Qty + n)
		return
	}
	b.open = append([]OpenOrder{{At: b.last.At, By: b.last.By, Qty: n}}, b.open...)
}
