package stock

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// burner is an invented model: three causes, the first brings the second along.
func burner() *kb.Model {
	return &kb.Model{
		Unlisted: 0.1, SecondFault: 0.05,
		Causes: []kb.ModelCause{
			{ID: "nozzle_worn", Share: 0.5, Fix: 0, Effects: []kb.Effect{{Cause: 1, P: 0.4}}},
			{ID: "filter_blocked", Share: 0.3, Fix: 1},
			{ID: "igniter_cracked", Share: 0.2, Fix: 2},
		},
		Fixes: []kb.ModelFix{
			{ID: "tune", Parts: []kb.PartUse{{Part: "nozzle", Qty: 1, Chance: 0.9}, {Part: "gasket", Qty: 2, Chance: 0.5}}},
			{ID: "clean", Parts: []kb.PartUse{{Part: "filter", Qty: 1, Chance: 1}, {Part: "gasket", Qty: 1, Chance: 0.2}}},
			{ID: "replace_igniter", Parts: []kb.PartUse{{Part: "igniter", Qty: 1, Chance: 0.8}}},
		},
	}
}

func TestUsesPerJobByHand(t *testing.T) {
	twice := func(p float64) float64 { return 0.9 * (p + 0.05*p*(1-p)) }
	gasket := 0.5*(1-0.5*(1-0.4*0.2)) + 0.3*0.2
	want := []PartUses{
		{"filter", twice(0.5*0.4 + 0.3), 1},
		// Pieces: the uses by each fix, 2 and 1 pieces, weighed by how often.
		{"gasket", twice(gasket), (0.5*0.5*2 + 0.5*0.4*0.2 + 0.3*0.2) / (0.5*0.5 + 0.5*0.4*0.2 + 0.3*0.2)},
		{"igniter", twice(0.2 * 0.8), 1},
		{"nozzle", twice(0.5 * 0.9), 1},
	}
	if diff := cmp.Diff(want, UsesPerJob(burner()), cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-12 })); diff != "" {
		t.Fatal(diff)
	}
}

// TestUsesPerJobByEnumeration sums over every root, effect, second fault and use.
func TestUsesPerJobByEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		chance := rapid.Float64Range(0, 1)
		m := &kb.Model{Unlisted: chance.Draw(t, "unlisted"), SecondFault: chance.Draw(t, "second")}
		for i := range 3 { // every cause its own fix, so that no two share one
			m.Fixes = append(m.Fixes, kb.ModelFix{Parts: []kb.PartUse{{Part: "p", Qty: 1, Chance: chance.Draw(t, "chance")}}})
			m.Causes = append(m.Causes, kb.ModelCause{Fix: i, Share: 1. / 3})
		}
		m.Causes[0].Effects = []kb.Effect{{Cause: 1, P: chance.Draw(t, "effect")}, {Cause: 2, P: chance.Draw(t, "effect")}}
		// taken is the chance that a fault from root c takes the part.
		taken := func(c int) float64 {
			var p float64
			for bits := range 4 { // which effects came about
				q, left := 1.0, 1-m.Fixes[m.Causes[c].Fix].Parts[0].Chance
				for i, e := range m.Causes[c].Effects {
					if bits>>i&1 == 1 {
						q *= e.P
						left *= 1 - m.Fixes[m.Causes[e.Cause].Fix].Parts[0].Chance
					} else {
						q *= 1 - e.P
					}
				}
				if bits>>len(m.Causes[c].Effects) == 0 {
					p += q * (1 - left)
				}
			}
			return p
		}
		var want float64
		for a := range 3 {
			want += (1 - m.SecondFault) * taken(a) / 3
			for b := range 3 {
				want += m.SecondFault * (1 - (1-taken(a))*(1-taken(b))) / 9
			}
		}
		want *= 1 - m.Unlisted
		if got := UsesPerJob(m)[0].PerJob; math.Abs(got-want) > 1e-12 {
			t.Fatalf("a job takes the part with chance %g, want %g", got, want)
		}
	})
}

func TestPieces(t *testing.T) {
	for mean, want := range map[float64]Distribution{0: {0, 1}, 1: {0, 1}, 1.25: {0, 0.75, 0.25}, 3: {0, 0, 0, 1}} {
		if diff := cmp.Diff(want, PiecesOf(mean)); diff != "" {
			t.Errorf("%g pieces: %s", mean, diff)
		}
	}
	// Dirichlet: 4 uses expected to take 1, then 5 that took 1 and 3 that took 2.
	d := LearnPieces(Certain(1), 4, []int{0, 5, 3})
	near(t, "one", d.At(1), 9./12, 1e-12)
	near(t, "two", d.At(2), 3./12, 1e-12)
	if diff := cmp.Diff(Certain(2), LearnPieces(Certain(2), 0, nil)); diff != "" {
		t.Error(diff)
	}
}

// TestKnowledgeByHand: a base that expects 2 uses a month, worth 3 months, and 5
// months with 3 uses: Gamma(6+3, 3+5) uses a month.
func TestKnowledgeByHand(t *testing.T) {
	certain := &JobRate{Shape: 1e12, Rate: 1e11} // 10 jobs a month, for certain
	k := &Knowledge{Families: []FamilyUses{{Rate: certain, PerJob: 0.2}}, Strength: 3}
	near(t, "uses a month", k.Monthly(), 2, 1e-12)
	h := History{First: 24000, Pieces: []int{2, 0, 0, 4, 0, Unknown}, Uses: []int{1, 0, 0, 2, 0, Unknown}}
	k.Pieces = Distribution{0, 0.5, 0.25, 0.25}
	got := h.through(k.Begin()).Ahead(WholeMonths(24006, 2), nil)
	want := Compound(Uses{9, 2 * 9. / 8}, k.Pieces)
	for n := range want {
		near(t, "chance", got.At(n), want[n], 1e-9)
	}
	// Where uses are not known, pieces stand for them by their mean.
	h.Uses = nil
	got = h.through(k.Begin()).Ahead(WholeMonths(24006, 1), nil)
	near(t, "mean by pieces", got.Mean(), 1.75*(6+6/1.75)/8, 1e-9)
}

// TestKnowledgeOfWhatNeverSold: there is a forecast all the same, and months
// without use lower it, the more jobs came the faster.
func TestKnowledgeOfWhatNeverSold(t *testing.T) {
	rate := &JobRate{Shape: 20, Rate: 2}
	k := &Knowledge{Families: []FamilyUses{{Rate: rate, PerJob: 0.05}}, Strength: 3}
	next := WholeMonths(24000, 1)
	never := k.Begin().Ahead(next, nil)
	near(t, "mean", never.Mean(), 0.5, 1e-9)
	// The variance is that of the rates' product: (1+1/1.5)(1+1/20)-1 over 0.5^2.
	near(t, "deviation", never.SD(), math.Sqrt(0.5+0.25*((1+1/1.5)*(1+1./20)-1)), 1e-9)

	few, many := k.Families, []FamilyUses{{Rate: rate, PerJob: 0.05, Done: &History{First: 23994, Pieces: []int{30, 30, 30, 30, 30, 30}}}}
	zeros := History{First: 23994, Pieces: make([]int, 6)}
	mean := func(f []FamilyUses) float64 {
		return zeros.through((&Knowledge{Families: f, Strength: 3}).Begin()).Ahead(next, nil).Mean()
	}
	if a, b := mean(few), mean(many); !(b < a && a < 0.5) {
		t.Errorf("after 6 months without use %g are expected, %g if 30 jobs came in each", a, b)
	}
	near(t, "after many jobs", mean(many), 0.5*1.5/(1.5+6*1.5), 1e-9)
}

// TestKnowledgeFollowsTheSeason: winter takes what the jobs' season says.
func TestKnowledgeFollowsTheSeason(t *testing.T) {
	winter := Season{3, 2, 2, 1, 0, 0, 0, 0, 0, 1, 1, 2}
	k := &Knowledge{Families: []FamilyUses{
		{Rate: &JobRate{Shape: 30, Rate: 10, Season: winter}, PerJob: 0.1},
		{Rate: &JobRate{Shape: 10, Rate: 10}, PerJob: 0.2},
	}, Strength: 3}
	january := Month(24000)
	mean := func(m Month) float64 { return k.Begin().Ahead(WholeMonths(m, 1), nil).Mean() }
	near(t, "January", mean(january), 0.3*3+0.2, 1e-9)
	near(t, "July", mean(january+6), 0.2, 1e-9)
	year := k.Begin().Ahead(WholeMonths(january, 12), nil)
	near(t, "the year", year.Mean(), 12*0.5, 1e-6)
	if none := (&Knowledge{Strength: 3}).Begin().Ahead(WholeMonths(january, 1), nil); none.At(0) != 1 {
		t.Errorf("a base that expects nothing expects %v", none)
	}
}
