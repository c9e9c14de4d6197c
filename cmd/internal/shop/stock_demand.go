package shop

import (
	"runtime"
	"sync"
	"time"

	"sootsayer/kb/stock"
)

// Demand is what a shop expects its jobs to take from today on.
type Demand struct {
	From        time.Time
	First, Last stock.Month // of the history; First after Last where there is none
	Unknown     []stock.Month
	Parts       []string // every part that is ordered today, in the order of the base
	Calls       int      // closed calls in the history
	Families    []FamilyDemand

	shop       *Shop
	calls      []Call
	forecaster *stock.Forecaster
	history    map[string]stock.History
	pieces     map[string]stock.Distribution // of one use
	mu         sync.Mutex
	outlooks   map[string]*stock.Outlook
}

// DemandOptions say what is known besides of the days to come.
type DemandOptions struct {
	DegreeDays *stock.DegreeDays // nil: none
}

// Demand learns from everything that was used and every call that was closed.
// The history goes from the month of the first to that of the last of them, and
// does not hold the month that is under way; months after it in which nothing
// was recorded are months of which nothing is known.
func (s *Shop) Demand(o DemandOptions) (*Demand, error) {
	visits, err := s.Visits()
	if err != nil {
		return nil, err
	}
	calls, err := s.Calls()
	if err != nil {
		return nil, err
	}
	d := &Demand{From: s.today(), shop: s, calls: calls, outlooks: make(map[string]*stock.Outlook)}
	for _, id := range s.base.IDs("parts") {
		if s.partToday(id) == id {
			d.Parts = append(d.Parts, id)
		}
	}
	d.setMonths(visits, calls)
	if d.Unknown, err = s.UnknownMonths(); err != nil {
		return nil, err
	}
	if d.history, err = histories(d.Parts, visits, d.First, d.Last, d.Unknown); err != nil {
		return nil, err
	}
	if d.Families, err = familyDemands(s.base, calls, d.First, d.Last, o); err != nil {
		return nil, err
	}
	for i := range d.Families {
		for _, n := range d.Families[i].Jobs.Pieces {
			d.Calls += n
		}
	}
	knows, err := d.knowledge()
	if err != nil {
		return nil, err
	}
	d.forecaster = stock.NewForecaster(d.histories(), stock.Options{Season: d.season(o), Knows: knows, Workers: runtime.NumCPU()})
	return d, nil
}

// setMonths finds the months of the history.
func (d *Demand) setMonths(visits []stock.Visit, calls []Call) {
	now := stock.MonthOf(d.From)
	d.First, d.Last = now, now-1
	see := func(t time.Time) {
		m := stock.MonthOf(t.UTC())
		if m >= now {
			return // under way, or dated in the future
		}
		if d.First == now {
			d.Last = m
		}
		d.First, d.Last = min(d.First, m), max(d.Last, m)
	}
	for i := range visits {
		see(visits[i].At)
	}
	for i := range calls {
		see(calls[i].At)
	}
}

// Months returns how many months of history there are.
func (d *Demand) Months() int { return max(0, int(d.Last-d.First)+1) }

// Silent returns how many whole months went by since the history ended.
func (d *Demand) Silent() int {
	if d.Months() == 0 {
		return 0
	}
	return int(stock.MonthOf(d.From)-d.Last) - 1
}

// histories are those of all parts, used or not.
func histories(parts []string, visits []stock.Visit, first, last stock.Month, unknown []stock.Month) (map[string]stock.History, error) {
	of := make(map[string]stock.History, len(parts))
	if first > last {
		for _, id := range parts {
			of[id] = stock.History{Part: id, First: first}
		}
		return of, nil
	}
	for _, id := range parts {
		h, err := stock.Tally(id, first, last, nil)
		if err != nil {
			return nil, err
		}
		of[id] = h
	}
	list, err := stock.Histories(visits, first, last)
	if err != nil {
		return nil, err
	}
	for _, h := range list {
		if _, known := of[h.Part]; known {
			of[h.Part] = h
		}
	}
	for id, h := range of {
		h.Forget(unknown...)
		of[id] = h
	}
	return of, nil
}

// knowledge returns what the base, as closed jobs moved it, expects of each part,
// and fills pieces.
func (d *Demand) knowledge() (func(part string) (stock.Method, bool), error) {
	k := newKnown(d.shop.base)
	for i := range d.Families {
		e, err := d.shop.Engine(d.Families[i].Family, "", false)
		if err != nil {
			return nil, err
		}
		k.add(e.Model(), &d.Families[i])
	}
	d.pieces = make(map[string]stock.Distribution, len(d.Parts))
	for _, id := range d.Parts {
		h := d.history[id]
		d.pieces[id] = stock.LearnPieces(k.expectedPieces(id), d.shop.base.Settings.TableStrength, h.ByPieces)
	}
	return func(part string) (stock.Method, bool) { return k.method(part, d.pieces[part]) }, nil
}

// histories are those of all parts, from which what parts have in common is
// learned. Those that were never used are among them: without them it would seem
// that every part is used now and then.
func (d *Demand) histories() []stock.History {
	list := make([]stock.History, 0, len(d.Parts))
	for _, id := range d.Parts {
		list = append(list, d.history[id])
	}
	return list
}

// History returns what was used of a part by month.
func (d *Demand) History(part string) stock.History { return d.history[part] }

// Pieces returns how many pieces one use of a part takes.
func (d *Demand) Pieces(part string) stock.Distribution {
	if p, ok := d.pieces[part]; ok {
		return p
	}
	return stock.Certain(1)
}

// Forecast returns what is expected of a part over some days from today. Without
// any history nothing is known: method "none", and no pieces.
func (d *Demand) Forecast(part string, days int) stock.Forecast {
	if d.Months() == 0 {
		return stock.Forecast{Part: part, Days: days, Quantiles: map[string]int{"0.5": 0, "0.9": 0, "0.95": 0}, Method: "none",
			Class: stock.NeverSold, Why: "no history", Demand: stock.Certain(0)}
	}
	return d.outlook(part).Forecast(d.From, days)
}

// Over returns the demand of a part over some days, from today or a later day on.
func (d *Demand) Over(part string, from time.Time, days int) stock.Distribution {
	if d.Months() == 0 {
		return stock.Certain(0)
	}
	return d.outlook(part).Demand(from, days)
}

// outlook is kept: to choose a method takes longer than to use it. One part is
// for one goroutine at a time.
func (d *Demand) outlook(part string) *stock.Outlook {
	d.mu.Lock()
	o := d.outlooks[part]
	d.mu.Unlock()
	if o == nil {
		o = d.forecaster.Look(d.history[part])
		d.mu.Lock()
		d.outlooks[part] = o
		d.mu.Unlock()
	}
	return o
}

// each does something for n things, several at a time.
func (d *Demand) each(n int, do func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(n, runtime.NumCPU()) {
		wait.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
}

// Forecasts returns what is expected of every part over some days from today, in
// the order of Parts.
func (d *Demand) Forecasts(days int) []stock.Forecast {
	list := make([]stock.Forecast, len(d.Parts))
	d.each(len(list), func(i int) { list[i] = d.Forecast(d.Parts[i], days) })
	return list
}

// Name returns the name of a part.
func (d *Demand) Name(part string) string {
	if p, ok := d.shop.base.Part(part); ok {
		return p.Name
	}
	return part
}
