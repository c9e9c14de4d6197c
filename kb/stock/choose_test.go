package stock

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var afterInvented = time.Date(2022, 7, 1, 0, 0, 0, 0, time.UTC)

// invented parts of 30 months end where afterInvented begins.
func inventedForecaster(o Options) ([]History, *Forecaster) {
	parts := invented(120, 30)
	return parts, NewForecaster(parts, o)
}

func TestWhy(t *testing.T) {
	_, f := inventedForecaster(Options{})
	first := MonthOf(afterInvented) - 24
	often := []int{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0}
	missing := append([]int(nil), often...)
	missing[3] = Unknown
	for _, x := range []struct {
		name string
		h    History
		want []string
	}{
		{"never", History{First: first, Pieces: make([]int, 24)}, []string{"never used in 24 months: ", "best on all parts"}},
		{"new", History{First: first}, []string{"no history: "}},
		{"one month", History{First: first, Pieces: []int{2}}, []string{"used in 1 of 1 month, always 2: "}},
		{"months only", History{First: first, Pieces: often}, []string{"used in 4 of 24 months, 1 to 2 a month: ", "loss "}},
		{"uses known", History{First: first, Pieces: often, ByPieces: []int{0, 5}}, []string{"used in 4 of 24 months, always one at a time: "}},
		{"pairs known", History{First: first, Pieces: often, ByPieces: []int{0, 0, 5}}, []string{", always 2 at a time: "}},
		{"sizes known", History{First: first, Pieces: often, ByPieces: []int{0, 3, 2}}, []string{", 1 to 2 at a time: "}},
		{"missing", History{First: first, Pieces: missing}, []string{"used in 4 of 23 months, 1 to 2 a month, 2020-10 is missing: "}},
	} {
		c := f.Look(x.h).Forecast(afterInvented, 30)
		for _, want := range x.want {
			if !strings.Contains(c.Why, want) {
				t.Errorf("%s: %q does not say %q", x.name, c.Why, want)
			}
		}
		if !strings.Contains(c.Why, inWords[c.Method]) || inWords[c.Method] == "" {
			t.Errorf("%s: %q does not name %s", x.name, c.Why, c.Method)
		}
	}
}

// TestChoiceFollowsTheLosses: among methods alike on all parts, the part's own
// past decides; where it says nothing, all parts do.
func TestChoiceFollowsTheLosses(t *testing.T) {
	level := make([]float64, common)
	for j := range level {
		level[j] = 1
	}
	f := &Forecaster{overall: append([]float64(nil), level...)}
	f.overall[4] = 0.9
	for k := range f.relative {
		f.relative[k] = level
	}
	r := &rolling{sums: []float64{5, 4, 3, 2, 6, 7, 8}, months: 10}
	if got := f.choose(Lumpy, r); got != 3 {
		t.Errorf("method %d was chosen, 3 lost least", got)
	}
	// One tenth less on all lumpy parts outweighs 3 of 200 months of an average loss of 0.5.
	f.relative[Lumpy.kind()] = []float64{1, 1, 0.9, 1, 1, 1, 1}
	if got := f.choose(Lumpy, r); got != 2 {
		t.Errorf("method %d was chosen, 2 is best on lumpy parts", got)
	}
	if got := f.choose(Smooth, r); got != 3 {
		t.Errorf("method %d was chosen for a smooth part", got)
	}
	nothing := &rolling{sums: make([]float64, common), months: 10}
	for _, class := range []Class{NeverSold, Intermittent} {
		if got := f.choose(class, nothing); got != 4 {
			t.Errorf("%s: method %d was chosen where all lost nothing", class, got)
		}
	}
	known := &rolling{sums: make([]float64, common+1), months: 10}
	f.overall = append(f.overall, 2)
	if got := f.choose(NeverSold, known); got != common {
		t.Errorf("method %d was chosen for what never sold, though the base knows of it", got)
	}
}

func TestForecastRow(t *testing.T) {
	rate := &JobRate{Shape: 20, Rate: 2}
	knows := func(part string) (Method, bool) {
		return &Knowledge{Families: []FamilyUses{{Rate: rate, PerJob: 0.05}}, Strength: 3}, part == "igniter"
	}
	_, f := inventedForecaster(Options{Knows: knows})
	h := History{Part: "igniter", First: MonthOf(afterInvented) - 2, Pieces: []int{0, 0}}
	got := f.Look(h).Forecast(afterInvented, 31)
	want := Forecast{Part: "igniter", Days: 31, Method: "knowledge", Class: NeverSold, Periods: 2,
		Why: "never used in 2 months: the jobs that will come and what their causes take"}
	// Worth 1.5 uses, and one more was expected of the two months: see
	// TestKnowledgeOfWhatNeverSold.
	want.summarise(NegativeBinomial(1/((1+1/1.5)*(1+1./20)-1), 0.5*1.5/2.5))
	want.Losses = got.Losses
	if diff := cmp.Diff(want, got, cmp.Comparer(func(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 })); diff != "" {
		t.Fatal(diff)
	}
	if other := f.Look(History{Part: "valve", First: h.First, Pieces: h.Pieces}).Forecast(afterInvented, 31); other.Method == "knowledge" {
		t.Error("nothing is known of the valve")
	}
	if none := f.Look(h).Forecast(afterInvented, -1); none.Days != 0 || none.Mean != 0 {
		t.Errorf("no days take %g", none.Mean)
	}
}

// TestOutlookIsTheForecast: a demand asked for by itself is that of the row.
func TestOutlookIsTheForecast(t *testing.T) {
	parts, f := inventedForecaster(Options{})
	all := f.All(parts, afterInvented, 40)
	for i := range parts {
		o := f.Look(parts[i])
		o.Demand(afterInvented, 7)
		if diff := cmp.Diff(all[i].Demand, o.Demand(afterInvented, 40)); diff != "" {
			t.Fatalf("%s: %s", parts[i].Part, diff)
		}
	}
}
