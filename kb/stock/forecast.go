package stock

import "time"

// Forecast is the demand expected of a part over some days.
type Forecast struct {
	Part      string         `json:"part"`
	Days      int            `json:"horizon_days"`
	Mean      float64        `json:"mean"`
	SD        float64        `json:"sd"`
	Quantiles map[string]int `json:"quantiles"` // by chance, as "0.9"
	Method    string         `json:"method"`
	Class     Class          `json:"class"`
	Periods   int            `json:"periods"` // months of history that are known
	Why       string         `json:"why"`     // the method was chosen, in a sentence
	// Losses are the methods' mean pinball losses a month over the last months, the
	// chosen one's first.
	Losses  []MethodLoss `json:"losses,omitempty"`
	Missing []string     `json:"missing,omitempty"` // months of which nothing is known
	// Demand is the whole distribution.
	Demand Distribution `json:"-"`
}

// MethodLoss is how well a method forecast a part's own past: its mean pinball
// loss a month, in pieces.
type MethodLoss struct {
	Method  string  `json:"method"`
	Pinball float64 `json:"pinball"`
}

// quantileNames are the Quantiles as they stand in JSON.
var quantileNames = [len(Quantiles)]string{"0.5", "0.9", "0.95"}

// summarise fills in what follows from the distribution.
func (f *Forecast) summarise(d Distribution) {
	f.Demand, f.Mean, f.SD = d, d.Mean(), d.SD()
	f.Quantiles = make(map[string]int, len(Quantiles))
	for i, n := range d.quantiles() {
		f.Quantiles[quantileNames[i]] = n
	}
}

// Options say how a Forecaster works.
type Options struct {
	// Season is the monthly profile of the demand, from jobs or degree days; nil
	// for one learned from the demand of all parts, where it has any.
	Season *Season
	// Knows returns what the base expects of a part, if anything.
	Knows func(part string) (Method, bool)
	// AsOf returns the options as they were before a month, for [Backtest]: what
	// was not known then must not be in them. Nil: they do not depend on it.
	AsOf func(first Month) Options
	// Workers is how many parts are worked on at a time; 1 when 0. Results do not
	// depend on it.
	Workers int
}

// Forecaster forecasts the parts of a shop, with what it learned from all of
// them together. It may be used from several goroutines.
type Forecaster struct {
	options  Options
	season   Season
	methods  []Method         // the common candidates; Croston's is the part's own
	relative [kinds][]float64 // losses of the methods, by class
	overall  []float64        // in all classes
}

// Outlook is what is expected of one part: its past, and the method chosen for
// it. It is for one goroutine.
type Outlook struct {
	found  Forecast
	method Track
}

// Look judges the methods on a part's past and chooses one.
func (f *Forecaster) Look(h History) *Outlook {
	var room rolling
	return f.look(&h, &room)
}

func (f *Forecaster) look(h *History, room *rolling) *Outlook {
	methods := f.candidates(h)
	room.run(h, methods)
	class := ClassOf(h.Pieces)
	best := f.choose(class, room)
	o := &Outlook{method: room.tracks[best]}
	o.found = Forecast{Part: h.Part, Method: methods[best].Name(), Class: class, Losses: room.losses(methods, best)}
	o.found.Periods, _ = h.Known()
	for _, m := range h.Missing() {
		o.found.Missing = append(o.found.Missing, m.String())
	}
	o.found.Why = o.found.why(h, room.months)
	return o
}

// Demand returns the demand over some days from a date on.
func (o *Outlook) Demand(from time.Time, days int) Distribution {
	return o.over(Days(from, days))
}

func (o *Outlook) over(spans []Span) Distribution {
	if len(spans) == 0 {
		return Certain(0)
	}
	return o.method.Ahead(spans, nil)
}

// Forecast sums up the demand over some days from a date on.
func (o *Outlook) Forecast(from time.Time, days int) Forecast {
	c := o.found
	c.Days = max(0, days)
	c.summarise(o.Demand(from, days))
	return c
}

// All forecasts many parts over some days from a date on; the forecasts are in
// the order of the parts.
func (f *Forecaster) All(parts []History, from time.Time, days int) []Forecast {
	out := make([]Forecast, len(parts))
	inChunks(len(parts), f.options.Workers, func(_, start, end int) {
		var room rolling
		for i := start; i < end; i++ {
			out[i] = f.look(&parts[i], &room).Forecast(from, days)
		}
	})
	return out
}
