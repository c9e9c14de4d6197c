package shop

import (
	"runtime"

	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// StockScore is how well past forecasts of parts were, each made from what was
// known before.
type StockScore struct {
	From   string        `json:"from,omitempty"` // the first month that was forecast
	To     string        `json:"to,omitempty"`
	Months int           `json:"months"` // months of history
	Scores []stock.Score `json:"scores"` // the closest first
}

// How the past is judged: the last year, or half of a shorter history, in
// stretches after each of which everything is learned anew.
const (
	judgedMonths   = 12
	relearnMonths  = 3
	leastKnown     = 6 // months from which the first forecasts are made
	monthsPerOrder = 3 // whose sum is judged as well
)

// StockScore forecasts the last months of the history from those before them, by
// every method and by the one that would have been chosen. What the base knew is
// taken as authored, with the calls of the months before: what closed jobs taught
// later is left out.
func (s *Shop) StockScore(d *Demand) (*StockScore, error) {
	out := &StockScore{Months: d.Months(), Scores: []stock.Score{}}
	stretches := min(judgedMonths, (d.Months()-leastKnown)) / relearnMonths
	if stretches < 1 {
		return out, nil
	}
	options := stock.Options{Workers: runtime.NumCPU()}
	var failed error
	options.AsOf = func(first stock.Month) stock.Options {
		then := options
		then.AsOf = nil
		knows, err := d.knewBefore(first)
		if err != nil {
			failed = err
		}
		then.Knows = knows
		return then
	}
	out.From, out.To = (d.Last - stock.Month(stretches*relearnMonths) + 1).String(), d.Last.String()
	scores := stock.Backtest(d.histories(), options, stock.Origins{Last: d.Last, Count: stretches, Every: relearnMonths, Window: monthsPerOrder})
	if failed != nil {
		return nil, failed
	}
	out.Scores = append(out.Scores, scores...)
	return out, nil
}

// knewBefore is what the base as authored and the calls before a month tell of
// each part.
func (d *Demand) knewBefore(first stock.Month) (func(part string) (stock.Method, bool), error) {
	b := d.shop.base
	families, err := familyDemands(b, d.calls, d.First, first-1, DemandOptions{})
	if err != nil {
		return nil, err
	}
	k := newKnown(b)
	for i := range families {
		m, err := kb.NewModel(b, families[i].Family)
		if err != nil {
			return nil, err
		}
		k.add(m, &families[i])
	}
	return func(part string) (stock.Method, bool) { return k.method(part, k.expectedPieces(part)) }, nil
}
