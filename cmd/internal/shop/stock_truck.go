package shop

import (
	"fmt"
	"math"

	"sootsayer/kb/stock"
)

// TruckOptions say what a truck may carry: for money, or for the room of so many
// slots. One of them is above 0.
type TruckOptions struct {
	Money float64
	Slots float64
	Jobs  int    // calls between two fillings
	Place string // the truck that it is held against; "" for none
}

// Check says what is wrong with the options.
func (o *TruckOptions) Check() error {
	switch {
	case o.Money != o.Money || o.Slots != o.Slots || o.Money < 0 || o.Slots < 0 || math.IsInf(o.Money+o.Slots, 1):
		return fmt.Errorf("what a truck holds is money or slots, 0 or more")
	case (o.Money > 0) == (o.Slots > 0):
		return fmt.Errorf("say how much the truck may hold, in money or in slots: --money 600 or --slots 40")
	case o.Jobs < 1 || o.Jobs > mostTourJobs:
		return fmt.Errorf("a truck is filled up after 1 to %d calls; write --jobs 6", mostTourJobs)
	}
	return nil
}

// mostTourJobs bounds the calls of a tour: a truck that is filled up once a month.
const mostTourJobs = 60

// Truck is what a truck should carry. Shares are of all calls.
type Truck struct {
	Filled    float64     `json:"jobs_filled"` // finished from the truck
	Cost      float64     `json:"cost"`        // money or slots, whichever was given
	Slots     bool        `json:"slots"`       // Cost is in slots
	Jobs      int         `json:"jobs"`        // calls between two fillings
	Bound     float64     `json:"bound"`       // no kit finishes more
	Most      float64     `json:"most"`        // what parts can do: all of them, and as many as it takes
	NoParts   float64     `json:"no_parts"`    // calls that take no parts
	Unlisted  float64     `json:"unlisted"`    // calls whose cause is not listed
	Place     string      `json:"place,omitempty"`
	NowFilled *float64    `json:"now_filled,omitempty"` // with what is at Place now
	NowCost   *float64    `json:"now_cost,omitempty"`
	Parts     []TruckPart `json:"parts"`
	NoPrice   []string    `json:"no_price,omitempty"` // parts left out: the base has no price
}

// TruckPart is a part that a truck carries, or should.
type TruckPart struct {
	Part   string  `json:"part"`
	Name   string  `json:"name"`
	Carry  int     `json:"carry"`
	Adds   float64 `json:"adds"`   // calls that would not be finished without it
	Wanted float64 `json:"wanted"` // calls that take it
	Cost   float64 `json:"cost"`
	Now    *int    `json:"now,omitempty"`    // at Place
	Change *int    `json:"change,omitempty"` // pieces to add, or below 0 to take out
}

// truckNeeds bounds the kinds of calls that are told apart in the search for a
// kit; rarer ones count to those that take less.
const truckNeeds = 1000

// Truck finds the kit that finishes most calls. Families count by how many calls
// of each come on average; d must have calls.
func (s *Shop) Truck(d *Demand, o TruckOptions) (*Truck, error) {
	if err := o.Check(); err != nil {
		return nil, err
	}
	needs, err := s.callNeeds(d)
	if err != nil {
		return nil, err
	}
	t := &Truck{Slots: o.Slots > 0, Jobs: o.Jobs, Place: o.Place, Most: needs.Most(), Unlisted: needs.Unlisted}
	parts := make([]stock.KitPart, len(d.Parts))
	for i, id := range d.Parts {
		part, _ := s.base.Part(id)
		parts[i] = stock.KitPart{ID: id, Cost: part.UnitCost}
		switch {
		case t.Slots:
			parts[i].Cost = part.Room()
		case !(part.UnitCost > 0):
			t.NoPrice = append(t.NoPrice, id)
		}
	}
	search := stock.KitProblem{Parts: parts, Needs: affordable(needs.Frequent(truckNeeds), parts), Budget: o.Money + o.Slots, Jobs: o.Jobs}
	kit := stock.BestKit(search)
	value := needs.Value(parts, o.Jobs, kit.Carry)
	t.Filled, t.Cost, t.Bound = value.Filled, value.Cost, max(value.Filled, kit.Bound)
	t.NoParts = needs.Filled(make([]int, len(parts)))
	return t, s.truckParts(t, d, needs, parts, &value)
}

// affordable leaves out needs of parts that have no price: no kit holds them.
func affordable(needs []stock.Need, parts []stock.KitPart) []stock.Need {
	var list []stock.Need
	for _, n := range needs {
		ok := true
		for _, take := range n.Takes {
			ok = ok && parts[take.Part].Cost > 0
		}
		if ok {
			list = append(list, n)
		}
	}
	return list
}

// truckParts fills in what is carried, and what is at the place now.
func (s *Shop) truckParts(t *Truck, d *Demand, needs *stock.Needs, parts []stock.KitPart, kit *stock.Kit) error {
	var now []int
	if t.Place != "" {
		there, err := s.piecesAt(d.Parts, t.Place)
		if err != nil {
			return err
		}
		now = there
		value := needs.Value(parts, t.Jobs, now)
		t.NowFilled, t.NowCost = &value.Filled, &value.Cost
	}
	taken := needs.Taken(len(parts))
	t.Parts = []TruckPart{}
	for i, id := range d.Parts {
		if kit.Carry[i] == 0 && (now == nil || now[i] == 0) {
			continue
		}
		part, _ := s.base.Part(id)
		p := TruckPart{Part: id, Name: part.Name, Carry: kit.Carry[i], Adds: kit.Adds[i], Wanted: 1 - taken[i].At(0), Cost: float64(kit.Carry[i]) * parts[i].Cost}
		if now != nil {
			p.Now, p.Change = new(now[i]), new(kit.Carry[i]-now[i])
		}
		t.Parts = append(t.Parts, p)
	}
	return nil
}

// piecesAt are the whole pieces that the books have of each part at a place.
func (s *Shop) piecesAt(parts []string, place string) ([]int, error) {
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	list := make([]int, len(parts))
	for i, id := range parts {
		book := books.Part(id)
		if at := book.At(place); at != nil {
			list[i] = max(0, int(math.Floor(at.OnHand)))
		}
	}
	return list, nil
}

// callNeeds are the parts that calls take, families by how many calls they bring.
func (s *Shop) callNeeds(d *Demand) (*stock.Needs, error) {
	couse, err := s.coUse(d.Parts)
	if err != nil {
		return nil, err
	}
	var calls float64
	for i := range d.Families {
		calls += d.Families[i].Rate.Mean()
	}
	if !(calls > 0) {
		return nil, errNoCalls
	}
	var all []stock.Repair
	for i := range d.Families {
		f := &d.Families[i]
		e, err := s.Engine(f.Family, "", false)
		if err != nil {
			return nil, err
		}
		b, err := e.Believe(nil)
		if err != nil {
			return nil, err
		}
		needed, _ := repairs(e.Model(), b, f.Rate.Mean()/calls)
		all = append(all, needed...)
	}
	n := stock.NewNeeds(all, couse.Sets)
	return &n, nil
}
