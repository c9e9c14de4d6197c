package shop

import (
	"math"
	"strings"
	"testing"

	"sootsayer/data"
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

func orderOf(t testing.TB, s *Shop, o OrderOptions) []OrderRow {
	t.Helper()
	rows, err := s.Order(demandOf(t, s, DemandOptions{}), o)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func rowOf(t testing.TB, rows []OrderRow, part string) *OrderRow {
	t.Helper()
	for i := range rows {
		if rows[i].Part == part {
			return &rows[i]
		}
	}
	t.Fatalf("no row of %s", part)
	return nil
}

func record(t testing.TB, _ []StockLine, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// TestOrderDemo: the invented shop orders what it runs out of, and nothing any more
// once that is on order or counted.
func TestOrderDemo(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	how := UsualOrder()
	rows := orderOf(t, s, how)
	ordered := 0
	for _, r := range rows {
		part, _ := s.base.Part(r.Part)
		want := 0.95
		if part.Critical {
			want = 0.99
		}
		if r.Service != want || r.Counted || r.Why == "" || r.Cost == nil || r.Order != r.Wanted {
			t.Errorf("row %+v", r)
		}
		if r.Order > 0 {
			ordered++
			if r.Order%max(1, part.Pack) != 0 || r.Order < r.OrderUpTo || !(r.ShortWith < r.ShortWithout) {
				t.Errorf("row %+v", r)
			}
		}
	}
	filter := rowOf(t, rows, "fuel-filter-used-oil")
	if ordered < 20 || ordered == len(rows) || filter.ReorderPoint < 2 || filter.Order%4 != 0 {
		t.Errorf("%d of %d parts ordered; filter %+v", ordered, len(rows), filter)
	}
	at := data.DemoDay()
	lines, err := s.PutOnOrder(at, []Pieces{{"fuel-filter-used-oil", float64(filter.Order)}})
	record(t, lines, err)
	lines, err = s.Count(stock.Shelf, at, []Pieces{{"flame-eye", 30}})
	record(t, lines, err)
	rows = orderOf(t, s, how)
	if r := rowOf(t, rows, "fuel-filter-used-oil"); r.OnOrder != filter.Order || r.Order != 0 || r.Counted {
		t.Errorf("ordered twice: %+v", r)
	}
	if r := rowOf(t, rows, "flame-eye"); r.OnHand != 30 || !r.Counted || r.Order != 0 {
		t.Errorf("thirty are there: %+v", r)
	}
	how.Parts = []string{"flame-eye"}
	if rows := orderOf(t, s, how); len(rows) != 1 {
		t.Errorf("%d rows of one part", len(rows))
	}
}

// TestOrderBudgetDemo: a budget is kept, and more money leaves fewer missing.
func TestOrderBudgetDemo(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	d := demandOf(t, s, DemandOptions{})
	last := math.Inf(1)
	for _, budget := range []float64{0, 100, 400, 1600} {
		how := UsualOrder()
		how.Budget = budget
		rows, err := s.Order(d, how)
		if err != nil {
			t.Fatal(err)
		}
		var cost, missing float64
		for _, r := range rows {
			cost += *r.Cost
			missing += r.ShortWith
		}
		if cost > budget || missing > last || budget > 0 && missing >= last {
			t.Errorf("budget %v: %v spent, %v pieces missing, %v with less money", budget, cost, missing, last)
		}
		last = missing
	}
}

// TestOrderWaits: an open job that wants a part is counted on top, and waits when
// it is not there.
func TestOrderWaits(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	before := *rowOf(t, orderOf(t, s, UsualOrder()), "motor-capacitor")
	j, err := s.OpenJob(Complaint{Words: "hums and does not start", Family: "oil-furnace"})
	if err != nil {
		t.Fatal(err)
	}
	j = recordAll(t, s, j, "motor-capacitor=5")
	row := *rowOf(t, orderOf(t, s, UsualOrder()), "motor-capacitor")
	if len(row.Waiting) != 1 || row.Waiting[0].Job != j.ID || row.Waiting[0].Probability < 0.3 {
		t.Fatalf("waiting %+v", row.Waiting)
	}
	if row.Lasts >= before.Lasts || row.ShortWithout < before.ShortWithout+row.Waiting[0].Probability*0.9 {
		t.Errorf("with the job %+v, without %+v", row, before)
	}
	if short := ShortNow([]OrderRow{before, row}); len(short) != 1 || short[0].Part != "motor-capacitor" {
		t.Errorf("short now: %+v", short)
	}
	lines, err := s.Count("truck-1", data.DemoDay(), []Pieces{{"motor-capacitor", 1}})
	record(t, lines, err)
	if row := rowOf(t, orderOf(t, s, UsualOrder()), "motor-capacitor"); len(row.Waiting) != 0 {
		t.Errorf("one is there, and the job waits: %+v", row.Waiting)
	}
	// Once it is booked on the job the job wants it no more.
	lines, err = s.Count("truck-1", data.DemoDay(), []Pieces{{"motor-capacitor", 0}})
	record(t, lines, err)
	use := s.journal.NewEvent("part.used", j.ID, "kim")
	use.Part, use.Qty = "motor-capacitor", new(1.)
	if _, err := s.append(&j, use); err != nil {
		t.Fatal(err)
	}
	if row := rowOf(t, orderOf(t, s, UsualOrder()), "motor-capacitor"); len(row.Waiting) != 0 {
		t.Errorf("one was booked on the job, and it waits: %+v", row.Waiting)
	}
}

// recordAll records findings written as they are on a command line.
func recordAll(t testing.TB, s *Shop, j kb.Job, words ...string) kb.Job {
	t.Helper()
	for _, w := range words {
		f, err := s.base.ParseFinding("", j.Family, w)
		if err != nil {
			t.Fatal(err)
		}
		if j, err = s.Record(j, f); err != nil {
			t.Fatal(err)
		}
	}
	return j
}

// TestOrderEconomic: by cost both policies are given, and this one costs less.
func TestOrderEconomic(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	how := UsualOrder()
	how.Costs = &stock.Costs{Holding: 0.25, Trip: 100, Line: 5}
	rows := orderOf(t, s, how)
	usual := orderOf(t, s, UsualOrder())
	kept := 0
	for i, r := range rows {
		e := r.Economic
		if e == nil || r.ByService == nil || r.ReorderPoint != e.ReorderPoint || r.OrderUpTo != e.OrderUpTo {
			t.Fatalf("row %+v", r)
		}
		if r.ByService.ReorderPoint != usual[i].ReorderPoint || r.ByService.OrderUpTo != usual[i].OrderUpTo {
			t.Errorf("%s by service %+v, without --economic %d to %d", r.Part, r.ByService, usual[i].ReorderPoint, usual[i].OrderUpTo)
		}
		if e.Cost > e.OtherCost*1.001+1e-9 {
			t.Errorf("%s costs %v a year by cost, %v by service", r.Part, e.Cost, e.OtherCost)
		}
		if r.ReorderPoint > 0 {
			kept++
		}
	}
	if kept < 10 || kept == len(rows) {
		t.Errorf("%d of %d parts are worth keeping", kept, len(rows))
	}
	if r := rowOf(t, rows, "heat-exchanger"); r.ReorderPoint != 0 || !strings.Contains(r.Why, "order it when it is needed") {
		t.Errorf("a heat exchanger is kept: %+v", r)
	}
}

// TestOrderOfABareBase: no prices, no lead times, one closed job months ago.
func TestOrderOfABareBase(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	importText(t, s, "job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,causes,confidence,parts,minutes,callback_of\n"+
		"1,2024-12-03,2024-12-03,oil-furnace,,,no heat,,,,nozzle-plugged,1,nozzle-085=1,60,\n"+
		"2,2025-01-09,2025-01-09,oil-furnace,,,no heat,,,,nozzle-plugged,1,nozzle-085=1,60,\n")
	how := UsualOrder()
	r := *rowOf(t, orderOf(t, s, how), "nozzle-085")
	if r.LeadDays != 0 || r.UnitCost != nil || r.Cost != nil || r.Order == 0 || !strings.Contains(r.Why, "comes the day it is ordered") {
		t.Errorf("row %+v", r)
	}
	how.Budget = 1000
	if r := *rowOf(t, orderOf(t, s, how), "nozzle-085"); r.Order != 0 || r.Wanted == 0 || !strings.Contains(r.Why, "no price") {
		t.Errorf("ordered on a budget without a price: %+v", r)
	}
	how.Costs = &stock.Costs{Holding: 0.25, Trip: 100}
	if r := *rowOf(t, orderOf(t, s, how), "nozzle-085"); r.Economic != nil {
		t.Errorf("costs without a price: %+v", r.Economic)
	}
	var out strings.Builder
	how = UsualOrder()
	if n, err := WriteOrder(&out, s.base, orderOf(t, s, how)); n < 1 || err != nil || !strings.Contains(out.String(), "\n,nozzle-085,Nozzle,0.85 gph,") || !strings.Contains(out.String(), ",,\n") {
		t.Errorf("%d, %v:\n%s", n, err, out.String())
	}
	d := demandOf(t, s, DemandOptions{})
	if truck, err := s.Truck(d, TruckOptions{Money: 100, Jobs: 3}); err != nil || len(truck.Parts) != 0 || len(truck.NoPrice) != 2 {
		t.Errorf("a truck without prices: %+v, %v", truck, err)
	}
	if truck, err := s.Truck(d, TruckOptions{Slots: 4, Jobs: 3}); err != nil || len(truck.Parts) == 0 || truck.NoPrice != nil || truck.Cost > 4 {
		t.Errorf("four slots: %+v, %v", truck, err)
	}
}

func TestOrderOptions(t *testing.T) {
	for name, change := range map[string]func(*OrderOptions){
		"service 0":       func(o *OrderOptions) { o.Service = 0 },
		"service 1":       func(o *OrderOptions) { o.Service = 1 },
		"service NaN":     func(o *OrderOptions) { o.Service = math.NaN() },
		"negative money":  func(o *OrderOptions) { o.Budget = -1 },
		"money NaN":       func(o *OrderOptions) { o.Budget = math.NaN() },
		"negative days":   func(o *OrderOptions) { o.ReviewDays = -1 },
		"negative cover":  func(o *OrderOptions) { o.CoverDays = -1 },
		"a free trip":     func(o *OrderOptions) { o.Costs = &stock.Costs{Holding: 0.2} },
		"an endless trip": func(o *OrderOptions) { o.Costs = &stock.Costs{Holding: 0.2, Trip: math.Inf(1)} },
		"keeping pays":    func(o *OrderOptions) { o.Costs = &stock.Costs{Holding: -0.2, Trip: 5} },
	} {
		o := UsualOrder()
		if err := o.Check(); err != nil {
			t.Fatal(err)
		}
		if change(&o); o.Check() == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

// TestOpenNeedsByHand: open jobs take a part each on its own.
func TestOpenNeedsByHand(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	parts := s.base.IDs("parts")
	c, err := s.coUse(parts)
	if err != nil {
		t.Fatal(err)
	}
	noneAtAll := 1.0
	for range 2 {
		var want float64
		j, err := s.OpenJob(Complaint{Words: "no heat", Family: "used-oil-heater"})
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Believe(&j)
		if err != nil {
			t.Fatal(err)
		}
		e, err := s.Engine(j.Family, "", false)
		if err != nil {
			t.Fatal(err)
		}
		for _, set := range b.FixSets() { // the filter is taken once, if any fix takes it
			none := 1.0
			for _, f := range set.Fixes {
				var takes float64
				for _, x := range c.Sets(j.Family, e.Model().Fixes[f].ID) {
					for _, take := range x.Takes {
						if parts[take.Part] == "oil-pads" {
							takes += x.Chance
						}
					}
				}
				none *= 1 - takes
			}
			want += set.Probability * (1 - none)
		}
		if !(want > 0.01) {
			t.Fatalf("the part is needed with a chance of %v", want)
		}
		noneAtAll *= 1 - want
	}
	open, err := s.openNeeds(parts, c)
	if err != nil {
		t.Fatal(err)
	}
	for i, id := range parts {
		if id == "oil-pads" {
			if got := open.all[i].At(0); math.Abs(got-noneAtAll) > 1e-9 {
				t.Errorf("none with a chance of %v, by hand %v", got, noneAtAll)
			}
		}
	}
	if w := waiting([]OpenNeed{{"1", 0.3, 1}, {"2", 0.9, 2}, {"3", 0.5, 1}}, 3); len(w) != 1 || w[0].Job != "1" {
		t.Errorf("three pieces for jobs that need 1, 2 and 1: waiting %+v", w)
	}
}
