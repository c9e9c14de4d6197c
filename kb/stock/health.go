package stock

import "math"

// Shelf health: what lies there too long, what there is too much of, and how
// well it served, as it was and as predicted.

// Condition is how it stands with the stock of a part. Shares are in [0,1], NaN
// where nothing tells.
type Condition struct {
	Part        string
	OnHand      float64
	Past        Past
	Expected    float64 // pieces in the coming year
	DaysOfCover float64 // how long what is on hand lasts at the expected demand; +Inf without demand
	Dead        bool    // nothing used for a year, none likely in the next, and none that the policy would keep
	Over        float64 // pieces beyond what a year or the policy will need
	Turns       float64 // how often a year what lay there on average was used
	Will        Service // predicted, under the policy
}

// overService is the chance with which what is kept for a year will do.
const overService = 0.95

// leastTurning is how many days the books must tell of for turns a year.
const leastTurning = 30

// NewCondition judges the stock of a part: year is the demand expected over the
// coming year, pieces those of one use, and the item and policy as for ordering.
// Watched tells whether uses were recorded for a year, so that none in it tells
// something.
func NewCondition(part string, onHand float64, past Past, watched bool, year, pieces Distribution, i *Item, p Policy) Condition {
	c := Condition{Part: part, OnHand: onHand, Past: past, Expected: year.Mean()}
	held := max(0, onHand)
	c.DaysOfCover = math.Inf(1)
	if c.Expected > 0 {
		c.DaysOfCover = held / c.Expected * yearDays
	}
	c.Dead = held > 0 && past.LastYear == 0 && watched && year.CDF(0) >= 0.5 && p.ReorderPoint == 0
	top := max(year.Quantile(overService), p.OrderUpTo+i.Up(1)-1)
	c.Over = max(0, tidy(held-float64(top)))
	c.Turns = math.NaN()
	if past.Average > 0 && past.Days >= leastTurning {
		c.Turns = past.Used / past.Average * yearDays / past.Days
	}
	c.Will = predicted(i, p, pieces)
	return c
}

// predicted is the service of ordering up to a level when fewer than the reorder
// point are there; cycle service is the chance that the reorder point lasts.
func predicted(i *Item, p Policy, pieces Distribution) Service {
	s := NewService(i.Protect, pieces, p.ReorderPoint-1, i.Up(p.OrderUpTo-p.ReorderPoint+1))
	s.Cycle = i.Protect.CDF(p.ReorderPoint)
	return s
}
