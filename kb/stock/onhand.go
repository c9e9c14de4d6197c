package stock

import (
	"slices"
	"strings"
	"time"
)

// Books are what is known of the stock: by part and place, and on order.
//
// The books of a part at a place begin with the first count there, or with the
// first pieces that were received or moved there. What was used before is
// history and draws nothing, so that jobs of years past can be taken in without
// emptying today's shelf. From then on every movement counts in the order of
// (at, id), so that what is entered late finds its place. A count sets the books
// to what was found and keeps the difference. Books may go below zero: then
// pieces were taken that nobody saw come in, and a count is due.
type Books struct {
	parts  map[string]*PartBook
	places map[string]bool
}

// PartBook is what the books say of one part.
type PartBook struct {
	Part   string      `json:"part"`
	Places []PlaceBook `json:"places"` // in the order of ComparePlaces
	Orders []OpenOrder `json:"orders"` // what is on order, oldest first

	orders orderBook
}

// PlaceBook is what the books say of one part at one place.
type PlaceBook struct {
	Place  string    `json:"place"`
	OnHand float64   `json:"on_hand"`
	Since  time.Time `json:"since"`  // when these books began
	Counts []Count   `json:"counts"` // oldest first; none where they began without one
	In     float64   `json:"in"`     // pieces that came in since the last count
	Out    float64   `json:"out"`    // pieces that were taken since

	begun bool // something happened before
}

// Count is what somebody found at a place. Said is what the books said just
// before; nil where they began with the count.
type Count struct {
	ID   string    `json:"event"`
	At   time.Time `json:"at"`
	By   string    `json:"by,omitempty"`
	Qty  float64   `json:"qty"`
	Said *float64  `json:"said"`
}

// Difference is how many pieces more than the books said were found; 0 where
// the books began with the count.
func (c *Count) Difference() float64 {
	if c.Said == nil {
		return 0
	}
	return tidy(c.Qty - *c.Said)
}

// Fold works out the books from movements, given in any order. Today returns the
// id that a part has today, so that former and superseded numbers share the
// books of the present one; nil keeps all ids.
func Fold(movements []Movement, today func(part string) string) *Books {
	b := &Books{parts: make(map[string]*PartBook), places: map[string]bool{Shelf: true}}
	for _, m := range InOrder(movements) {
		if today != nil {
			m.Part = today(m.Part)
		}
		if m.Place == "" && m.Kind != Ordered {
			m.Place = Shelf
		}
		b.apply(&m)
	}
	for _, p := range b.parts {
		slices.SortFunc(p.Places, func(a, b PlaceBook) int { return ComparePlaces(a.Place, b.Place) })
		p.Orders = p.orders.open
	}
	return b
}

func (b *Books) apply(m *Movement) {
	if m.Kind == Used && b.place(m, m.Place, false) == nil {
		return // before the books began
	}
	p := b.part(m.Part)
	switch m.Kind {
	case Counted:
		b.place(m, m.Place, true).count(m)
	case Received:
		if at := b.place(m, m.Place, m.Qty > 0); at != nil {
			at.put(m.Qty)
		}
		p.orders.receive(m)
	case Used:
		b.place(m, m.Place, false).take(m.Qty)
	case Moved:
		if at := b.place(m, m.Place, false); at != nil {
			at.take(m.Qty)
		}
		b.place(m, m.To, true).put(m.Qty)
	case Ordered:
		p.orders.order(m)
	}
}

func (b *Books) part(id string) *PartBook {
	p := b.parts[id]
	if p == nil {
		p = &PartBook{Part: id}
		b.parts[id] = p
	}
	return p
}

// place returns the books of a movement's part at a place. Where there are none
// they begin now, or nil is returned. The pointer holds until another place of
// the part is added.
func (b *Books) place(m *Movement, place string, begin bool) *PlaceBook {
	if p := b.parts[m.Part]; p != nil {
		if at := p.At(place); at != nil {
			return at
		}
	}
	if !begin {
		return nil
	}
	p := b.part(m.Part)
	b.places[place] = true
	p.Places = append(p.Places, PlaceBook{Place: place, Since: m.At})
	return &p.Places[len(p.Places)-1]
}

func (at *PlaceBook) count(m *Movement) {
	c := Count{ID: m.ID, At: m.At, By: m.By, Qty: m.Qty}
	if at.begun {
		c.Said = new(at.OnHand)
	}
	at.Counts = append(at.Counts, c)
	at.OnHand, at.In, at.Out, at.begun = m.Qty, 0, 0, true
}

func (at *PlaceBook) put(pieces float64) {
	at.begun = true
	at.OnHand = tidy(at.OnHand + pieces)
	at.In = tidy(at.In + pieces)
}

func (at *PlaceBook) take(pieces float64) {
	at.OnHand = tidy(at.OnHand - pieces)
	at.Out = tidy(at.Out + pieces)
}

// LastCount returns the newest count, nil when nobody counted yet.
func (at *PlaceBook) LastCount() *Count {
	if len(at.Counts) == 0 {
		return nil
	}
	return &at.Counts[len(at.Counts)-1]
}

// At returns what the books say of a place, nil when they have not begun there.
func (p *PartBook) At(place string) *PlaceBook {
	for i := range p.Places {
		if p.Places[i].Place == place {
			return &p.Places[i]
		}
	}
	return nil
}

// OnHand returns the pieces at all places, books below zero included; false
// where no books have begun.
func (p *PartBook) OnHand() (float64, bool) {
	var sum float64
	for i := range p.Places {
		sum += p.Places[i].OnHand
	}
	return tidy(sum), len(p.Places) > 0
}

// Owed returns by how many pieces the books are below zero, places added up.
func (p *PartBook) Owed() float64 {
	var sum float64
	for i := range p.Places {
		sum += max(0, -p.Places[i].OnHand)
	}
	return tidy(sum)
}

// OnOrder returns the pieces that were ordered and did not come yet.
func (p *PartBook) OnOrder() float64 {
	var sum float64
	for _, o := range p.Orders {
		sum += o.Qty
	}
	return tidy(sum)
}

// Part returns what the books say of a part, under its present id; nothing on
// hand, nothing on order where they say nothing.
func (b *Books) Part(id string) PartBook {
	if p := b.parts[id]; p != nil {
		return *p
	}
	return PartBook{Part: id}
}

// Parts returns the ids of the parts that have books or are on order, sorted.
func (b *Books) Parts() []string {
	var ids []string
	for id, p := range b.parts {
		if len(p.Places) > 0 || len(p.Orders) > 0 {
			ids = append(ids, id)
		}
	}
	slices.SortFunc(ids, strings.Compare)
	return ids
}

// Places returns every place at which books have begun, and the shelf, in the
// order of ComparePlaces.
func (b *Books) Places() []string {
	var list []string
	for place := range b.places {
		list = append(list, place)
	}
	slices.SortFunc(list, ComparePlaces)
	return list
}
