package shop

import (
	"errors"
	"math"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/kb/stock"
)

// FamilyDemand is how many calls of a family come.
type FamilyDemand struct {
	Family string
	Jobs   stock.History // by month
	Rate   stock.JobRate
	// Heating says how they follow the cold, nil where nothing is known of it.
	Heating *stock.Heating
}

// How the calls of families are learned: the profile of a family's year is worth
// seasonWorth calls before its own are counted, and rates of families are held to
// differ, before any is seen, as much as rateShape says.
const (
	seasonWorth = 24
	rateShape   = 1
)

// familyDemands learns how many calls of each family come.
func familyDemands(b *kb.Base, calls []Call, first, last stock.Month, o DemandOptions) ([]FamilyDemand, error) {
	var all []FamilyDemand
	if first > last {
		return nil, nil
	}
	taken := make(map[string][]stock.Taken)
	var every []stock.Taken
	for _, c := range calls {
		if m := stock.MonthOf(c.At.UTC()); m >= first && m <= last {
			taken[c.Family] = append(taken[c.Family], stock.Taken{Month: m, Pieces: 1})
			every = append(every, stock.Taken{Month: m, Pieces: 1})
		}
	}
	whole, err := stock.Tally("", first, last, every)
	if err != nil {
		return nil, err
	}
	usual := stock.NewSeason(whole, stock.Season{}, seasonWorth)
	var groups []learn.Exposed
	for _, family := range b.IDs("families") {
		h, err := stock.Tally(family, first, last, taken[family])
		if err != nil {
			return nil, err
		}
		all = append(all, FamilyDemand{Family: family, Jobs: h})
		groups = append(groups, learn.Exposed{Events: float64(len(taken[family])), Exposure: float64(last-first) + 1})
	}
	fit := learn.FitRates(groups, rateShape)
	for i := range all {
		f := &all[i]
		r := stock.RateOptions{Expected: usual, SeasonWorth: seasonWorth, Keep: keepAMonth(b)}
		if fit.Mean > 0 {
			r.Shape, r.Rate = fit.Shape, fit.Rate()
		}
		if o.DegreeDays != nil {
			if h, ok := stock.FitHeating(f.Jobs, o.DegreeDays); ok {
				f.Heating, r.Heating = &h, &h
			}
		}
		f.Rate = stock.LearnJobRate(f.Jobs, r)
	}
	return all, nil
}

// keepAMonth is what a month counts less than the one after it, by the half-life
// of closed jobs.
func keepAMonth(b *kb.Base) float64 {
	if years := b.Settings.HalfLifeYears; years > 0 {
		return math.Exp2(-1 / (12 * years))
	}
	return 1
}

// season is the profile of all families' calls by degree days, nil where it is
// left to what parts were used.
func (d *Demand) season(o DemandOptions) *stock.Season {
	if o.DegreeDays == nil {
		return nil
	}
	var sum stock.Season
	var all float64
	for i := range d.Families {
		if f := &d.Families[i]; f.Heating != nil {
			mean := f.Rate.Mean()
			all += mean
			for c := range sum {
				sum[c] += mean * f.Rate.Season[c]
			}
		}
	}
	if !(all > 0) {
		return nil
	}
	for c := range sum {
		sum[c] /= all
	}
	return &sum
}

// errNoCalls says that nothing tells how many calls come.
var errNoCalls = errors.New("no call was closed in a whole month yet, so nothing tells which calls come; close jobs, or bring past ones in with: sootsayer job import FILE.csv")
