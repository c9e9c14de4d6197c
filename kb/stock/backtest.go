package stock

// Score is how a method forecast the past of a shop's parts, without knowing
// what came after: at each origin everything was learned anew from the months
// before it, and then each month forecast from those before it.
type Score struct {
	Method    string `json:"method"` // "chosen" is what would have been shown
	Parts     int    `json:"parts"`
	Forecasts int    `json:"forecasts"` // of one month of one part
	// Pinball is the mean loss a month in pieces, by quantile, and their mean.
	Pinball map[string]float64 `json:"pinball"`
	// Coverage is the share of months with at most as many pieces as the quantile.
	// A month that brought just as many counts as covered. Pieces are whole, so
	// forecasts that are right cover more than the quantile says: as much as
	// Expected, by their own chances.
	Coverage map[string]float64 `json:"coverage"`
	Expected map[string]float64 `json:"expected"`
	// Ahead are the same for the sum of the months that one order covers.
	Ahead Covered `json:"ahead"`
	// MASE and RMSSE compare the means with the naive forecast of a month by the one
	// before it, averaged over the parts for which that was ever wrong.
	MASE  float64 `json:"mase"`
	RMSSE float64 `json:"rmsse"`
}

// Covered is how the quantiles of several months' sum did.
type Covered struct {
	Months    int                `json:"months"`
	Forecasts int                `json:"forecasts"`
	Coverage  map[string]float64 `json:"coverage"`
	Expected  map[string]float64 `json:"expected"`
}

// Chosen is the method of a score that takes the one chosen for each part.
const Chosen = "chosen"

// Origins say at which months of the past a backtest stands.
type Origins struct {
	Last   Month // the last month that is forecast
	Count  int   // how many origins
	Every  int   // months from one to the next, all of which are forecast
	Window int   // months whose sum is forecast at each
}

// Backtest scores every method, and the choice among them, on the past of all
// parts. Scores are in the order of their pinball losses. It is empty where the
// histories do not reach back behind the first origin.
func Backtest(parts []History, o Options, at Origins) []Score {
	var all tally
	for k := at.Count; k > 0; k-- {
		first := at.Last - Month(k*at.Every) + 1
		then := o
		if o.AsOf != nil {
			then = o.AsOf(first)
		}
		all.plus(backtestFrom(parts, then, first, at.Every, max(1, at.Window)))
	}
	return all.scores(max(1, at.Window))
}

// backtestFrom learns from the months before first and forecasts it and those
// after it.
func backtestFrom(parts []History, o Options, first Month, months, window int) *tally {
	before := make([]History, 0, len(parts))
	var after []History
	for _, h := range parts {
		if cut := h.Until(first - 1); len(cut.Pieces) > 0 {
			before, after = append(before, cut), append(after, h)
		}
	}
	all := &tally{}
	if len(before) == 0 {
		return all
	}
	f := NewForecaster(before, o)
	var of [chunks]tally
	inChunks(len(before), o.Workers, func(chunk, from, to int) {
		var room rolling
		for i := from; i < to; i++ {
			of[chunk].part(f, &before[i], &after[i], months, window, &room)
		}
	})
	for i := range of {
		all.plus(&of[i])
	}
	return all
}
