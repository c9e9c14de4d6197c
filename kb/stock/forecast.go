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

// Summarise fills in what follows from the distribution.
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

// Over forecasts a part's demand over some days from a date on, by the method
// that did best on its past.
func (f *Forecaster) Over(h History, from time.Time, days int) Forecast {
	return f.over(h, Days(from, days), days, nil)
}

func (f *Forecaster) over(h History, spans []Span, days int, room *rolling) Forecast {
	if room == nil {
		room = &rolling{}
	}
	methods := f.candidates(&h)
	room.run(&h, methods)
	class := ClassOf(h.Pieces)
	best := f.choose(class, room)
	out := Forecast{Part: h.Part, Days: days, Method: methods[best].Name(), Class: class}
	out.Periods, _ = h.Known()
	for _, m := range h.Missing() {
		out.Missing = append(out.Missing, m.String())
	}
	room.demand = room.tracks[best].Ahead(spans, room.demand)
	out.summarise(append(Distribution(nil), room.demand...))
	out.Losses = room.losses(methods, best)
	out.Why = f.why(&h, &out, room.months)
	return out
}

// All forecasts many parts; the forecasts are in the order of the parts.
func (f *Forecaster) All(parts []History, from time.Time, days int) []Forecast {
	spans := Days(from, days)
	out := make([]Forecast, len(parts))
	inChunks(len(parts), f.options.Workers, func(_, start, end int) {
		var room rolling
		for i := start; i < end; i++ {
			out[i] = f.over(parts[i], spans, days, &room)
		}
	})
	return out
}
