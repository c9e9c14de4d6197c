package shop

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"sootsayer/data"
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// demoShop is the invented shop on the day of the demo.
func demoShop(t testing.TB, now time.Time) *Shop {
	t.Helper()
	s, err := Open(Config{Store: filepath.Join(t.TempDir(), "store"), By: "kim", Write: true, Now: func() time.Time { return now }, Notice: func(string) {}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	importText(t, s, data.DemoJobs())
	return s
}

func demandOf(t testing.TB, s *Shop, o DemandOptions) *Demand {
	t.Helper()
	d, err := s.Demand(o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestDemoDemand: what the invented shop will use is about what it used at that
// time of the year before, and parts that never sold have a forecast.
func TestDemoDemand(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	d := demandOf(t, s, DemandOptions{})
	if d.First.String() != "2023-08" || d.Last.String() != "2026-05" || d.Months() != 34 || d.Silent() != 4 || len(d.Unknown) != 0 {
		t.Errorf("history from %v to %v, %d months, silent for %d, unknown %v", d.First, d.Last, d.Months(), d.Silent(), d.Unknown)
	}
	visits, err := s.Visits()
	if err != nil {
		t.Fatal(err)
	}
	inBase := make(map[string]bool)
	for _, id := range d.Parts {
		inBase[id] = true
	}
	var before, uses float64
	for _, v := range visits {
		for year := 2023; year <= 2025; year++ {
			from := time.Date(year, time.October, 5, 0, 0, 0, 0, time.UTC)
			if inBase[v.Part] && !v.At.Before(from) && v.At.Before(from.AddDate(0, 0, 90)) {
				before += math.Ceil(v.Pieces) / 3
				uses++
			}
		}
	}
	var mean float64
	never := 0
	for _, id := range d.Parts {
		f := d.Forecast(id, 90)
		mean += f.Mean
		h := d.History(id)
		if _, used := h.Known(); used == 0 {
			never++
			if _, listed := partsOfFixes(s.base)[id]; listed && !(f.Mean > 0) {
				t.Errorf("%s never sold, and its forecast is %v", id, f.Mean)
			}
		}
	}
	if never == 0 || uses < 50 || mean < 0.6*before || mean > 1.5*before {
		t.Errorf("%.1f pieces in 90 days, %.1f a year at that time before; %d parts never sold", mean, before, never)
	}
}

// partsOfFixes are the parts that some fix of some family takes.
func partsOfFixes(b *kb.Base) map[string]bool {
	parts := make(map[string]bool)
	for i := range b.Fixes {
		for _, u := range b.Fixes[i].Parts {
			parts[u.Part] = true
		}
	}
	return parts
}

// TestDemandOfNothing: without a whole month of history nothing is expected, and
// everything that builds on it says so instead of guessing.
func TestDemandOfNothing(t *testing.T) {
	s, err := Open(Config{Store: filepath.Join(t.TempDir(), "store"), By: "kim", Write: true, Now: data.DemoDay})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	d := demandOf(t, s, DemandOptions{})
	if d.Months() != 0 || d.Silent() != 0 {
		t.Errorf("%d months, silent for %d", d.Months(), d.Silent())
	}
	f := d.Forecast("flame-eye", 90)
	if f.Mean != 0 || f.Method != "none" || f.Quantiles["0.95"] != 0 || f.Class != stock.NeverSold {
		t.Errorf("forecast %+v", f)
	}
	rows, err := s.Order(d, UsualOrder())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r.Order != 0 || r.Counted || r.ReorderPoint != 0 {
			t.Fatalf("ordered without any history: %+v", r)
		}
	}
	if _, err := s.Truck(d, TruckOptions{Money: 600, Jobs: 6}); err == nil {
		t.Error("a truck is filled for calls that nobody knows")
	}
	if score, err := s.StockScore(d); err != nil || len(score.Scores) != 0 {
		t.Errorf("score %+v, %v", score, err)
	}
	if h, err := s.Health(d, UsualOrder()); err != nil || len(h.Parts) != 0 || h.Uncounted == 0 {
		t.Errorf("health %+v, %v", h, err)
	}
}

// TestDemandFollowsTheCold: with degree days calls are fitted to them: many in
// January, none to speak of in July.
func TestDemandFollowsTheCold(t *testing.T) {
	days := degreeDaysFile(t, "AnnArbor")
	s := demoShop(t, data.DemoDay())
	warm := demandOf(t, s, DemandOptions{})
	cold := demandOf(t, s, DemandOptions{DegreeDays: days})
	for i := range cold.Families {
		f := &cold.Families[i]
		if f.Heating == nil || !(f.Heating.PerDegreeDay > 0) {
			t.Fatalf("%s: nothing is known of the cold: %+v", f.Family, f.Heating)
		}
		if jan, jul := f.Rate.Season[0], f.Rate.Season[6]; jan < 2*jul {
			t.Errorf("%s: January %v, July %v of an average month", f.Family, jan, jul)
		}
		if warm.Families[i].Heating != nil {
			t.Error("degree days out of nowhere")
		}
		// About the same calls a year, whatever their season.
		if a, b := f.Rate.Mean(), warm.Families[i].Rate.Mean(); math.Abs(a/b-1) > 0.35 {
			t.Errorf("%s: %v calls an average month with degree days, %v without", f.Family, a, b)
		}
	}
}
