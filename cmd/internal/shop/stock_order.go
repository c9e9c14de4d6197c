package shop

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// OrderOptions say how parts are ordered.
type OrderOptions struct {
	Service    float64      // chance with which stock has to last, in (0,1)
	ReviewDays int          // days from one order to the next
	CoverDays  int          // days that an order is made for, once it is made
	Budget     float64      // +Inf: none
	Supplier   string       // only what this one has; "": all
	Parts      []string     // only these; nil: all
	Costs      *stock.Costs // order by what costs least; nil: by Service
}

// CriticalService is the chance with which the stock of a critical part has to
// last, where not a higher one is asked for of all parts.
const CriticalService = 0.99

// OrderRow is what to order of a part, and why.
type OrderRow struct {
	Part         string          `json:"part"`
	Name         string          `json:"name"`
	Supplier     string          `json:"supplier,omitempty"`
	Critical     bool            `json:"critical"`
	Counted      bool            `json:"counted"` // false: nobody counted it, it is taken as none
	OnHand       int             `json:"on_hand"` // at all places, less what the books owe
	OnOrder      int             `json:"on_order"`
	ReorderPoint int             `json:"reorder_point"` // order when fewer are on hand and on order
	OrderUpTo    int             `json:"order_up_to"`
	Order        int             `json:"order"`
	Wanted       int             `json:"wanted"` // what would be ordered, money no object
	Service      float64         `json:"service"`
	Lasts        float64         `json:"lasts"` // chance that what is on hand and on order lasts until a next order comes
	LeadDays     float64         `json:"lead_days"`
	UnitCost     *float64        `json:"unit_cost"`     // null where the base has no price
	Cost         *float64        `json:"cost"`          // of Order; null where the base has no price
	ShortWithout float64         `json:"short_without"` // pieces expected to be missing by then, without the order
	ShortWith    float64         `json:"short_with"`
	Waiting      []OpenNeed      `json:"waiting"` // open jobs for which there are not enough
	Economic     *stock.Economic `json:"economic,omitempty"`
	ByService    *stock.Policy   `json:"by_service,omitempty"` // beside Economic
	Why          string          `json:"why"`

	item stock.Item
}

// Check says what is wrong with the options.
func (o *OrderOptions) Check() error {
	switch {
	case !(o.Service > 0 && o.Service < 1):
		return fmt.Errorf("a service of %g cannot be; write a chance between 0 and 1, such as 0.95", o.Service)
	case !(o.Budget >= 0):
		return fmt.Errorf("a budget of %g cannot be; write an amount of money, 0 or more", o.Budget)
	case o.ReviewDays < 0 || o.CoverDays < 0:
		return errors.New("days are 0 or more; write for how many to look ahead")
	case o.Costs == nil:
		return nil
	case !(o.Costs.Holding >= 0) || !(o.Costs.Trip > 0) || !(o.Costs.Line >= 0) || math.IsInf(o.Costs.Holding+o.Costs.Trip+o.Costs.Line, 1):
		return errors.New("what keeping and second trips cost cannot be below 0, and a second trip costs something")
	}
	return nil
}

// Suppliers lists the suppliers that the base names, in order.
func Suppliers(b *kb.Base) []string {
	var list []string
	for i := range b.Parts {
		if id := b.Parts[i].Supplier; id != "" {
			list = append(list, id)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// Order works out what to order, in the order of the base.
func (s *Shop) Order(d *Demand, o OrderOptions) ([]OrderRow, error) {
	if err := o.Check(); err != nil {
		return nil, err
	}
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	couse, err := s.coUse(d.Parts)
	if err != nil {
		return nil, err
	}
	open, err := s.openNeeds(d.Parts, couse)
	if err != nil {
		return nil, err
	}
	var rows []OrderRow
	var jobs []stock.Distribution
	for i, id := range d.Parts {
		part, _ := s.base.Part(id)
		if o.Supplier != "" && part.Supplier != o.Supplier || o.Parts != nil && !slices.Contains(o.Parts, id) {
			continue
		}
		book := books.Part(id)
		r := newOrderRow(part, &book, o.Service)
		r.Waiting = waiting(open.jobs[i], r.OnHand)
		rows, jobs = append(rows, r), append(jobs, open.all[i])
	}
	d.each(len(rows), func(i int) { s.expect(d, &rows[i], jobs[i], o) })
	s.fillOrder(rows, o)
	return rows, nil
}

// newOrderRow is what is known of a part before its demand.
func newOrderRow(part *kb.Part, book *stock.PartBook, service float64) OrderRow {
	onHand, counted := book.OnHand()
	r := OrderRow{Part: part.ID, Name: part.Name, Supplier: part.Supplier, Critical: part.Critical, Counted: counted,
		OnHand: int(math.Floor(onHand)), OnOrder: int(math.Floor(book.OnOrder())), Service: service, LeadDays: part.LeadDays}
	if part.Critical {
		r.Service = max(CriticalService, service)
	}
	if part.UnitCost > 0 {
		r.UnitCost = new(part.UnitCost)
	}
	r.item = stock.Item{Part: part.ID, OnHand: r.OnHand, OnOrder: r.OnOrder, Service: r.Service, UnitCost: part.UnitCost,
		Rounding: stock.Rounding{Pack: part.Pack, Minimum: part.MinOrder}}
	return r
}

// expect works out the demand that a part is ordered for, and what serving it
// costs. Jobs is what open jobs may take besides.
func (s *Shop) expect(d *Demand, r *OrderRow, jobs stock.Distribution, o OrderOptions) {
	part, _ := s.base.Part(r.Part)
	lead := stock.NewLeadTime(part.LeadDays, part.LeadDaysSD).Within(leadTail)
	over := func(days int) stock.Distribution { return d.Over(r.Part, d.From, days) }
	r.item.Protect = stock.OverLeadTime(lead, o.ReviewDays, over).Plus(jobs)
	r.item.Cover = stock.OverLeadTime(lead, o.ReviewDays+o.CoverDays, over).Plus(jobs)
	by := stock.NewOrderLine(&r.item)
	if o.Costs != nil && part.UnitCost > 0 {
		yearly := over(365).Mean()
		e := stock.NewEconomic(&r.item, by.Policy, d.Pieces(r.Part), yearly, part.LeadDays+float64(o.ReviewDays), *o.Costs)
		r.Economic, r.ByService = &e, &by.Policy
		r.item.Policy = &e.Policy
	}
}

// leadTail is the chance of very long lead times that is counted to the longest
// one looked at.
const leadTail = 1e-6

// fillOrder decides how many to order of each part, and says why.
func (s *Shop) fillOrder(rows []OrderRow, o OrderOptions) {
	items := make([]stock.Item, len(rows))
	for i := range rows {
		items[i] = rows[i].item
	}
	for i, l := range stock.Order(items, o.Budget) {
		r := &rows[i]
		r.ReorderPoint, r.OrderUpTo, r.Order, r.Wanted, r.Lasts = l.ReorderPoint, l.OrderUpTo, l.Order, l.Full, l.Lasts
		r.ShortWithout, r.ShortWith = l.ShortWithout, l.ShortWith
		if r.UnitCost != nil {
			r.Cost = new(l.Cost)
		}
		r.Why = s.orderWhy(r, &l, o)
	}
}

// ShortNow are the rows of parts that open jobs wait for, those waited for most
// likely first.
func ShortNow(rows []OrderRow) []OrderRow {
	list := slices.DeleteFunc(slices.Clone(rows), func(r OrderRow) bool { return len(r.Waiting) == 0 })
	slices.SortStableFunc(list, func(a, b OrderRow) int {
		return cmp.Compare(b.Waiting[0].Probability, a.Waiting[0].Probability)
	})
	return list
}

// UsualOrder is how parts are ordered where nothing else is said: once a week, for
// a month, so that the stock lasts in 95 of 100 cases. Common practice, no source.
func UsualOrder() OrderOptions {
	return OrderOptions{Service: 0.95, ReviewDays: 7, CoverDays: 30, Budget: math.Inf(1)}
}
