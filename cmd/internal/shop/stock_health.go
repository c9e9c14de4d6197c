package shop

import (
	"math"
	"time"

	"sootsayer/kb/stock"
)

// Health is how it stands with everything that lies on shelf and trucks. Shares
// are in [0,1]; what nothing tells is null.
type Health struct {
	Parts     []PartHealth `json:"parts"`      // those that were counted, in the order of the base
	Value     float64      `json:"value"`      // of what is there, at the base's prices
	Dead      float64      `json:"dead_value"` // of dead stock
	Over      float64      `json:"over_value"` // of pieces that will not be needed
	Turns     *float64     `json:"turns"`      // value used a year over the value that lay there
	Was       Served       `json:"was"`
	Will      Served       `json:"will"` // when ordered as `stock order` says
	Since     *time.Time   `json:"since"`
	Days      float64      `json:"days"` // that the books tell of, at most a year
	NoPrice   int          `json:"no_price"`
	Uncounted int          `json:"uncounted"` // parts that nobody counted
}

// Served is how well a stock serves: the share of time with something there, and
// the share of pieces that came from it. Over all parts ready rates are averaged
// by part and fill rates by piece.
type Served struct {
	Ready *float64 `json:"ready_rate"`
	Fill  *float64 `json:"fill_rate"`
}

// PartHealth is how it stands with one part.
type PartHealth struct {
	Part     string     `json:"part"`
	Name     string     `json:"name"`
	OnHand   float64    `json:"on_hand"`
	Value    *float64   `json:"value"`
	LastUse  *time.Time `json:"last_use"`
	LastYear float64    `json:"used_last_year"`
	Expected float64    `json:"expected_next_year"`
	Cover    *float64   `json:"days_of_cover"` // null: none is expected to be used
	Turns    *float64   `json:"turns"`
	Dead     bool       `json:"dead"`
	Over     float64    `json:"over"` // pieces that will not be needed within a year
	Was      Served     `json:"was"`
	Will     Served     `json:"will"`
	Cycle    float64    `json:"cycle_service"` // chance that it lasts until an order comes, when ordered at the reorder point
}

// Health judges what lies there. The options are those of ordering.
func (s *Shop) Health(d *Demand, o OrderOptions) (*Health, error) {
	l, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	rows, err := s.Order(d, o)
	if err != nil {
		return nil, err
	}
	pasts := stock.Pasts(l.moves, s.partToday, s.Now())
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	h := &Health{Parts: []PartHealth{}}
	var counted []int
	for i := range rows {
		if rows[i].Counted {
			counted = append(counted, i)
		}
	}
	h.Uncounted = len(rows) - len(counted)
	conditions := make([]stock.Condition, len(counted))
	d.each(len(counted), func(k int) {
		r := &rows[counted[k]]
		book := books.Part(r.Part)
		onHand, _ := book.OnHand()
		year := d.Over(r.Part, d.From, 365)
		conditions[k] = stock.NewCondition(r.Part, onHand, pasts[r.Part], d.Months() >= 12, year, d.Pieces(r.Part), &r.item, stock.Policy{ReorderPoint: r.ReorderPoint, OrderUpTo: r.OrderUpTo})
	})
	h.add(s, rows, counted, conditions)
	return h, nil
}

// add sums up the parts.
func (h *Health) add(s *Shop, rows []OrderRow, counted []int, conditions []stock.Condition) {
	var sum healthSums
	for k, c := range conditions {
		r := &rows[counted[k]]
		p := PartHealth{Part: c.Part, Name: r.Name, OnHand: c.OnHand, LastYear: c.Past.LastYear, Expected: c.Expected,
			Cover: told(c.DaysOfCover), Turns: told(c.Turns), Dead: c.Dead, Over: c.Over,
			Was: Served{told(c.Past.Ready), told(c.Past.Fill)}, Will: Served{told(c.Will.Ready), told(c.Will.Fill)}, Cycle: c.Will.Cycle}
		if !c.Past.LastUse.IsZero() {
			p.LastUse = new(c.Past.LastUse)
		}
		h.Days = max(h.Days, c.Past.Days)
		price := 0.0
		if r.UnitCost != nil {
			price = *r.UnitCost
			p.Value = new(max(0, c.OnHand) * price)
			h.Value += *p.Value
			h.Over += c.Over * price
			if c.Dead {
				h.Dead += *p.Value
			}
		} else {
			h.NoPrice++
		}
		sum.add(&c, price)
		h.Parts = append(h.Parts, p)
	}
	if h.Days > 0 {
		h.Since = new(s.Now().Add(-time.Duration(h.Days * 24 * float64(time.Hour))))
	}
	h.Turns = told(sum.usedYearly / sum.lay)
	h.Was = Served{told(sum.ready / sum.parts), told(sum.filled / sum.used)}
	h.Will = Served{told(sum.willReady / sum.all), told(sum.willFill / sum.expected)}
}

// healthSums are what the shares of all parts are worked out from.
type healthSums struct {
	usedYearly, lay    float64 // money
	ready, parts       float64
	filled, used       float64 // pieces
	willReady, all     float64
	willFill, expected float64
}

func (h *healthSums) add(c *stock.Condition, price float64) {
	if !math.IsNaN(c.Turns) {
		h.usedYearly += c.Turns * c.Past.Average * price
		h.lay += c.Past.Average * price
	}
	if !math.IsNaN(c.Past.Ready) {
		h.ready += c.Past.Ready
		h.parts++
	}
	if c.Past.Used > 0 {
		h.filled += c.Past.Fill * c.Past.Used
		h.used += c.Past.Used
	}
	h.willReady += c.Will.Ready
	h.all++
	h.willFill += c.Will.Fill * c.Expected
	h.expected += c.Expected
}

// told is nil for what nothing tells.
func told(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}
