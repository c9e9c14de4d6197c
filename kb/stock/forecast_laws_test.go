package stock

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var learnedLevels = FitLevels(invented(60, 30), Season{}, 1).Coming(0.9)

// everyMethod lists every method, some with a season.
func everyMethod() []Method {
	winter := Season{2, 2, 1.5, 1, 0.5, 0.3, 0.3, 0.3, 0.5, 1, 1.1, 1.5}
	seasonal := *learnedLevels
	seasonal.Season = winter
	means := NewMonthlyMean(invented(20, 30), Season{}, 0.9)
	rate := &JobRate{Shape: 12, Rate: 3, Season: winter}
	return []Method{
		Croston{Size: 0.1, Interval: 0.1, Dispersion: usual}, Croston{0.1, 0.1, SyntetosBoylan, usual},
		Croston{0.2, 0.2, ShaleBoylanJohnston, Dispersion{Ratio: 1, Worth: math.Inf(1)}},
		TSB{0.1, 0.1, usual}, Smoothing{0.1, usual}, SeasonalMean{usual},
		Discounted{0.9, 0.4, 1, Season{}}, Discounted{0.9, 0.4, 1, winter},
		&Pooled{Keep: 0.85, Worth: 3, Means: means, Dispersion: usual, Comes: 0.9},
		&Pooled{Keep: 0.85, Worth: 3, Means: means, Dispersion: usual, Season: winter},
		learnedLevels, &seasonal,
		&Knowledge{Families: []FamilyUses{{Rate: rate, PerJob: 0.1}}, Pieces: Distribution{0, 0.7, 0.3}, Strength: 3},
	}
}

func drawHistory(t *rapid.T) History {
	h := History{Part: "p", First: 24240}
	for range rapid.IntRange(0, 30).Draw(t, "months") {
		y := rapid.OneOf(rapid.Just(0), rapid.Just(0), rapid.Just(1), rapid.Just(Unknown),
			rapid.IntRange(0, 5), rapid.IntRange(0, 200)).Draw(t, "pieces")
		h.Pieces = append(h.Pieces, y)
	}
	return h
}

func checkDistribution(t *rapid.T, what string, d Distribution) {
	t.Helper()
	var sum float64
	for n, p := range d {
		if !(p >= 0) {
			t.Fatalf("%s: %d has chance %g", what, n, p)
		}
		sum += p
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Fatalf("%s: chances sum to %.12g", what, sum)
	}
}

func TestMethodsGiveDistributions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawHistory(t)
		from := time.Date(2020, time.Month(1+len(h.Pieces)), rapid.IntRange(1, 28).Draw(t, "day"), 0, 0, 0, 0, time.UTC)
		for _, m := range everyMethod() {
			track := h.through(m.Begin())
			checkDistribution(t, m.Name(), track.Ahead(Days(from, rapid.IntRange(1, 100).Draw(t, "days")), nil))
			checkDistribution(t, m.Name()+" of no days", track.Ahead(nil, nil))
		}
	})
}

// TestMeansAddUp: what is expected of two stretches is expected of both.
func TestMeansAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawHistory(t)
		from := time.Date(2020, time.Month(1+len(h.Pieces)), 1, 0, 0, 0, 0, time.UTC)
		a, b := rapid.IntRange(1, 70).Draw(t, "days"), rapid.IntRange(1, 70).Draw(t, "more days")
		for _, m := range everyMethod() {
			if len(h.Pieces) == 0 {
				continue // a part that is new starts when it is first asked for
			}
			track := h.through(m.Begin())
			first := track.Ahead(Days(from, a), nil).Mean()
			second := track.Ahead(Days(from.AddDate(0, 0, a), b), nil).Mean()
			both := track.Ahead(Days(from, a+b), nil).Mean()
			if math.Abs(first+second-both) > 1e-6*(1+both) {
				t.Fatalf("%s expects %g in %d days, %g in the next %d, and %g in all", m.Name(), first, a, second, b, both)
			}
		}
	})
}

// TestZerosLowerTheMean: months without use never raise what is expected, and a
// year of them lowers it where anything was expected, but for Croston's method,
// which only learns when something is used.
func TestZerosLowerTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := drawHistory(t)
		for i, y := range h.Pieces {
			h.Pieces[i] = min(y, 20) // more than levels tell apart is beyond them
		}
		after := h
		after.Pieces = append(slices.Clone(h.Pieces), make([]int, 12)...)
		for _, m := range everyMethod() {
			// The same calendar months, so that a season does not matter.
			before := h.through(m.Begin()).Ahead(WholeMonths(h.Last()+1, 12), nil).Mean()
			then := after.through(m.Begin()).Ahead(WholeMonths(after.Last()+1, 12), nil).Mean()
			stays := m.Name() == "croston" || m.Name() == "sba" || m.Name() == "sbj"
			switch {
			case m.Name() == "pooled":
				continue // all parts' mean moves as well; see below
			case then > before+1e-6, !stays && before > 0.3 && then > 0.99*before:
				t.Fatalf("%s expects %g, after a year without use %g", m.Name(), before, then)
			}
		}
	})
}

func TestZerosLowerThePooledMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &Pooled{Keep: 0.85, Worth: 3, Means: MonthlyMean{First: 24240, Mean: []float64{0.5}}, Dispersion: usual}
		h := drawHistory(t)
		track := h.through(m.Begin())
		next := WholeMonths(h.Last()+1, 1)
		before := track.Ahead(next, nil).Mean()
		track.See(Observed{h.Last() + 1, 0, 0})
		then := track.Ahead(WholeMonths(h.Last()+2, 1), nil).Mean()
		// Forgetting alone takes a rate towards all parts' mean, upwards from below it.
		if then > max(before, 0.5)+1e-9 || before > 0.5 && then >= before {
			t.Fatalf("expects %g, after a month without use %g", before, then)
		}
	})
}

// TestOrderOfPartsDoesNotMatter, nor the number of workers.
func TestOrderOfPartsDoesNotMatter(t *testing.T) {
	parts := invented(120, 30)
	backwards := slices.Clone(parts)
	slices.Reverse(backwards)
	from := time.Date(2022, 7, 1, 0, 0, 0, 0, time.UTC)
	want := NewForecaster(parts, Options{}).All(parts, from, 45)
	got := NewForecaster(backwards, Options{Workers: 3}).All(backwards, from, 45)
	slices.Reverse(got)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Fatal(diff)
	}
}

func TestStrangeHistories(t *testing.T) {
	from := time.Date(2022, 7, 1, 0, 0, 0, 0, time.UTC)
	first := MonthOf(from) - 24
	strange := []History{
		{Part: "empty", First: first},
		{Part: "no month at all"},
		{Part: "one month", First: first, Pieces: []int{1}},
		{Part: "one month of nothing", First: first, Pieces: []int{0}},
		{Part: "nothing", First: first, Pieces: make([]int, 24)},
		{Part: "unknown", First: first, Pieces: []int{Unknown, Unknown, Unknown}},
		{Part: "half unknown", First: first, Pieces: []int{Unknown, 1, Unknown, 0, 2, Unknown}},
		{Part: "a heap", First: first, Pieces: []int{0, 0, 5000, 0, 0, 0, 0, 0, 0, 0, 0, 0}},
		{Part: "always many", First: first, Pieces: []int{900, 1000, 1100, 1000, 950, 1050, 1000, 1000}},
		{Part: "later", First: first + 20, Pieces: []int{0, 1, 0, 1}},
	}
	for name, parts := range map[string][]History{"all": strange, "none": nil, "one": strange[:1], "two": strange[:2]} {
		f := NewForecaster(parts, Options{Workers: 2})
		for _, c := range f.All(strange, from, 60) {
			var sum float64
			for _, p := range c.Demand {
				sum += p
			}
			if math.Abs(sum-1) > 1e-9 || math.IsNaN(c.Mean) || math.IsNaN(c.SD) || c.Mean < 0 || math.IsInf(c.Mean, 0) {
				t.Errorf("learned from %s: %s has mean %g, deviation %g, chances sum to %g", name, c.Part, c.Mean, c.SD, sum)
			}
			for _, l := range c.Losses {
				if math.IsNaN(l.Pinball) {
					t.Errorf("learned from %s: %s has no loss by %s", name, c.Part, l.Method)
				}
			}
			if c.Part == "always many" && math.Abs(c.Mean-2000) > 500 {
				t.Errorf("learned from %s: %g expected where 1000 a month are used", name, c.Mean)
			}
			if c.Part == "a heap" && c.Mean > 5000 {
				t.Errorf("learned from %s: %g expected after one heap of 5000", name, c.Mean)
			}
		}
	}
}
