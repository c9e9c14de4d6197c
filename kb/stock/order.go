package stock

import (
	"container/heap"
	"math"
)

// Item is a part that may be ordered, and what is known of it.
type Item struct {
	Part    string
	OnHand  int // pieces at all places, less those owed; may be below 0
	OnOrder int
	// Protect is the demand from now until an order that is placed at the next
	// review would come: what is there and ordered now has to last that long.
	Protect Distribution
	// Cover is the demand over a cover period more, for which an order is made
	// once it is made.
	Cover Distribution
	// Service is the chance with which the stock has to last, in (0,1).
	Service float64
	// Policy says when and up to what to order, in place of Service, where it is
	// not nil.
	Policy *Policy
	Rounding
	UnitCost float64 // of a piece; 0 where it is not known
}

// Policy is to order when fewer than ReorderPoint pieces are on hand and on
// order, up to OrderUpTo.
type Policy struct {
	ReorderPoint int `json:"reorder_point"`
	OrderUpTo    int `json:"order_up_to"`
}

// Position is what is on hand and on order.
func (i *Item) Position() int { return i.OnHand + i.OnOrder }

// OrderLine is what to order of a part, and why. Pieces missing are those
// expected to be missing when an order placed at the next review would come.
type OrderLine struct {
	Part    string
	OnHand  int
	OnOrder int
	Policy
	Full         int     // pieces to order, money no object
	Order        int     // pieces to order
	Service      float64 // chance asked for that the stock lasts
	Lasts        float64 // chance that what is on hand and on order now lasts
	Cost         float64 // of Order; 0 where the price is not known
	ShortWithout float64 // pieces missing if nothing is ordered now
	ShortWith    float64 // pieces missing with Order
	NoPrice      bool    // it is not ordered because its price is not known and a budget was given
}

// NewOrderLine works out what to order of a part. By a Policy whole packs are
// ordered that do not exceed OrderUpTo, as far as they are sold so. Without one
// the reorder point is the least
// stock that lasts, with the chance asked for, until an order placed at the next
// review comes. When there is less, it is filled up to what lasts a cover period
// more, in whole packs.
func NewOrderLine(i *Item) OrderLine {
	l := OrderLine{Part: i.Part, OnHand: i.OnHand, OnOrder: i.OnOrder, Service: i.Service, Lasts: i.Protect.CDF(i.Position())}
	if i.Policy != nil {
		l.Policy = *i.Policy
	} else {
		l.ReorderPoint = ReorderPoint(i.Protect, i.Service)
		l.OrderUpTo = max(l.ReorderPoint, ReorderPoint(i.Cover, i.Service))
	}
	switch missing := l.OrderUpTo - i.Position(); {
	case i.Position() >= l.ReorderPoint:
	case i.Policy != nil: // as many packs as go without exceeding OrderUpTo
		l.Full = i.Up(max(1, missing-missing%max(1, i.Pack)))
	default:
		l.Full = i.Up(missing)
	}
	l.set(i, l.Full)
	return l
}

// set says how many are ordered.
func (l *OrderLine) set(i *Item, order int) {
	l.Order, l.Cost = order, float64(order)*i.UnitCost
	l.ShortWithout = i.Protect.Short(i.Position())
	l.ShortWith = i.Protect.Short(i.Position() + order)
}

// Order works out what to order of many parts, in the order of the parts. With a
// budget, which is +Inf for none, packs are ordered one after the other, at each
// step the one that is expected to save most missing pieces for its money, until
// no pack that is wanted can be paid for any more. Then never more than the
// budget is spent, and a greater budget never saves fewer pieces: a pack saves
// less than the one before it, and what a pack that could just not be paid for
// would save is more than all that comes after it can. Parts of which the price is not
// known are not ordered on a budget.
func Order(items []Item, budget float64) []OrderLine {
	lines := make([]OrderLine, len(items))
	for k := range items {
		lines[k] = NewOrderLine(&items[k])
	}
	if math.IsInf(budget, 1) {
		return lines
	}
	q := &packQueue{items: items, lines: lines}
	for k := range lines {
		lines[k].set(&items[k], 0)
		switch {
		case lines[k].Full == 0:
		case !(items[k].UnitCost > 0):
			lines[k].NoPrice = true
		default:
			q.push(k)
		}
	}
	for left := budget; q.Len() > 0; {
		p := heap.Pop(q).(pack)
		if p.cost > left {
			continue // nothing that comes later costs this part less
		}
		left -= p.cost
		lines[p.item].set(&items[p.item], lines[p.item].Order+p.pieces)
		q.push(p.item)
	}
	return lines
}

// pack is the next pack of a part, or the least order where none is ordered yet.
type pack struct {
	item, pieces int
	cost, rate   float64 // rate: pieces expected to be missing fewer, for the money
}

// packQueue is a heap of the next packs, the best first, then the first part.
type packQueue struct {
	items []Item
	lines []OrderLine
	packs []pack
}

// push adds the next pack of a part, when one is wanted.
func (q *packQueue) push(k int) {
	i, l := &q.items[k], &q.lines[k]
	if l.Order >= l.Full {
		return
	}
	next := pack{item: k, pieces: i.Up(1)}
	if l.Order > 0 {
		next.pieces = max(1, i.Pack)
	}
	next.pieces = min(next.pieces, l.Full-l.Order)
	next.cost = float64(next.pieces) * i.UnitCost
	at := i.Position() + l.Order
	next.rate = (i.Protect.Short(at) - i.Protect.Short(at+next.pieces)) / next.cost
	heap.Push(q, next)
}

func (q *packQueue) Len() int      { return len(q.packs) }
func (q *packQueue) Swap(a, b int) { q.packs[a], q.packs[b] = q.packs[b], q.packs[a] }
func (q *packQueue) Push(x any)    { q.packs = append(q.packs, x.(pack)) }
func (q *packQueue) Pop() any {
	last := q.packs[len(q.packs)-1]
	q.packs = q.packs[:len(q.packs)-1]
	return last
}

func (q *packQueue) Less(a, b int) bool {
	x, y := q.packs[a], q.packs[b]
	if x.rate != y.rate {
		return x.rate > y.rate
	}
	return x.item < y.item
}
