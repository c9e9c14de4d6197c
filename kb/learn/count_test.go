package learn

import (
	"maps"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// kilnBase is an invented base: grate leads to nozzle, nozzle to eye; wire,
// grate and spare have no row anywhere, and vent only exists in the oven.
func kilnBase() *kb.Base {
	share := func(f ...string) map[string]float64 {
		m := map[string]float64{}
		for _, id := range f {
			m[id] = 1
		}
		return m
	}
	lo, hi := 10.0, 10.0
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(),
		Families: []kb.Family{{ID: kiln, Name: "Kiln"}, {ID: oven, Name: "Oven"}, {ID: "bare", Name: "No causes yet"}},
		Causes: []kb.Cause{
			{ID: "grate", Share: share(kiln), Fix: "clean-grate", LeadsTo: map[string]float64{"nozzle": 0.3, "vent": 1}},
			{ID: "nozzle", Share: share(kiln), Fix: "new-nozzle", LeadsTo: map[string]float64{"eye": 0.15}},
			{ID: "eye", Share: share(kiln), Fix: "wipe-eye"},
			{ID: "wire", Share: share(kiln, oven), Fix: "mend-wire"},
			{ID: "vent", Share: share(oven), Fix: "open-vent"},
			{ID: "spare", Share: share(kiln), Fix: "mend-wire"},
		},
		Fixes: []kb.Fix{{ID: "clean-grate"}, {ID: "new-nozzle"}, {ID: "wipe-eye"}, {ID: "mend-wire"}, {ID: "open-vent"}},
		Symptoms: []kb.Symptom{{ID: "smoke", Name: "Smoke", Families: []string{kiln, oven}, Minutes: 1,
			Normally: kb.Table{{Outcome: kb.No, P: 0.9}, {Outcome: kb.Yes, P: 0.1}},
			If: kb.Rows{
				{Cause: "nozzle", Table: kb.Table{{Outcome: kb.Yes, P: 0.5}}},
				{Cause: "eye", Table: kb.Table{{Outcome: kb.Yes, P: 0.2}}},
				{Cause: "vent", Table: kb.Table{{Outcome: kb.Yes, P: 0.7}}}}}},
		Checks: []kb.Check{{ID: "ohms", Name: "Ohms", Families: []string{kiln}, Minutes: 1,
			Reading:  &kb.Reading{Unit: "ohm", Tolerance: kb.Tolerance{Value: 4}}, // standard error 2
			Outcomes: []kb.Outcome{{ID: "ok", To: &hi}, {ID: "high", From: &lo}},
			Normally: kb.Table{{Outcome: "ok", P: 0.9}, {Outcome: "high", P: 0.1}},
			If:       kb.Rows{{Cause: "eye", Table: kb.Table{{Outcome: "high", P: 0.8}}}}}},
	}
	b.Settings.HalfLifeYears = 0
	b.Reindex()
	return b
}

// at is minute i of a job.
func at(i int) time.Time { return epoch.Add(time.Duration(i) * time.Minute) }

func saw(kind, id, outcome string) kb.Act {
	return kb.Act{Finding: &kb.Finding{Kind: kind, ID: id, Outcome: outcome}}
}

func read(r float64) kb.Act {
	return kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "ohms", Reading: &r}}
}

// job closes a kiln job at minute 100 with these causes, an act a minute.
func job(causes []string, acts ...kb.Act) *kb.Job {
	for i := range acts {
		acts[i].At = at(i)
	}
	return &kb.Job{Family: kiln, Opened: epoch, Acts: acts, Closing: &kb.Closing{At: at(100), Causes: causes, Confidence: 1}}
}

// TestRoots: what a closing counts to a family.
func TestRoots(t *testing.T) {
	one := Tally{1, 1}
	tests := []struct {
		name    string
		causes  []string
		want    *FamilyCounts
		skipped map[string]int
	}{
		{name: "one cause", causes: []string{"eye"}, want: &FamilyCounts{Jobs: one, Listed: one, Roots: map[string]Tally{"eye": one}}},
		{name: "named twice", causes: []string{"eye", "eye"}, want: &FamilyCounts{Jobs: one, Listed: one, Roots: map[string]Tally{"eye": one}}},
		{name: "root and effect", causes: []string{"eye", "nozzle"}, want: &FamilyCounts{Jobs: one, Listed: one, Roots: map[string]Tally{"nozzle": one}}},
		{name: "root and effect of its effect", causes: []string{"eye", "grate"}, want: &FamilyCounts{Jobs: one, Listed: one, Roots: map[string]Tally{"grate": one}}},
		{name: "root and both effects", causes: []string{"eye", "grate", "nozzle"}, want: &FamilyCounts{Jobs: one, Listed: one, Roots: map[string]Tally{"grate": one}}},
		{name: "two independent", causes: []string{"wire", "eye"}, want: &FamilyCounts{Jobs: one, Listed: one, Second: one, Roots: map[string]Tally{"eye": one, "wire": one}}},
		{name: "independent and root with effect", causes: []string{"wire", "eye", "nozzle"}, want: &FamilyCounts{Jobs: one, Listed: one, Second: one, Roots: map[string]Tally{"nozzle": one, "wire": one}}},
		{name: "unlisted", causes: []string{kb.Unlisted}, want: &FamilyCounts{Jobs: one, Unlisted: one, Roots: map[string]Tally{}}},
		{name: "listed and unlisted", causes: []string{"eye", kb.Unlisted}, want: &FamilyCounts{Jobs: one, Listed: one, Unlisted: one, Second: one, Roots: map[string]Tally{"eye": one}}},
		{name: "renamed later", causes: []string{"eyelet"}, skipped: map[string]int{"cause/eyelet": 1}},
		{name: "of another family", causes: []string{"vent", "eye"}, want: &FamilyCounts{Jobs: one, Listed: one, Roots: map[string]Tally{"eye": one}}, skipped: map[string]int{"cause/vent": 1}},
		{name: "no cause at all"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(kilnBase())
			c.Add(job(tt.causes))
			if tt.want != nil && len(tt.want.Roots) > 0 { // closed in January 2026, without a model
				tt.want.Seasons = map[int]map[string]Tally{2025: tt.want.Roots}
			}
			if f := c.Families[kiln]; f != nil {
				f.Effects = nil // TestEffects has them
			}
			if diff := diffNear(tt.want, c.Families[kiln], 0); diff != "" {
				t.Error(diff)
			}
			if !maps.Equal(c.Skipped, tt.skipped) {
				t.Errorf("skipped %v, want %v", c.Skipped, tt.skipped)
			}
		})
	}
}

// TestLeadsToCycle: lint refuses a circle of causes; counting must not hang on
// one or lose the job.
func TestLeadsToCycle(t *testing.T) {
	b := kilnBase()
	b.Causes[2].LeadsTo = map[string]float64{"nozzle": 0.1} // eye -> nozzle -> eye
	c := New(b)
	c.Add(job([]string{"nozzle", "eye"}))
	if f := c.Families[kiln]; f.Roots["eye"].Jobs != 1 || f.Roots["nozzle"].Jobs != 1 {
		t.Errorf("%+v", f)
	}
}

// TestFindings: which finding counts to which table.
func TestFindings(t *testing.T) {
	smoke := func(outcome string) kb.Act { return saw(kb.KindSymptom, "smoke", outcome) }
	row := func(w ...float64) RowCounts { return RowCounts{Jobs: 1, Weights: w} }
	only := func(key, cause string, r RowCounts) map[string]*TableCounts {
		table := &TableCounts{Outcomes: []string{kb.No, kb.Yes}}
		if key == "check/ohms" {
			table.Outcomes = []string{"ok", "high"}
		}
		if cause == "" {
			table.Normally = r
		} else {
			table.Rows = map[string]RowCounts{cause: r}
		}
		return map[string]*TableCounts{key: table}
	}
	reopened := func(past kb.Closing, j *kb.Job) *kb.Job {
		j.Past = []kb.Closing{past}
		return j
	}
	open := job([]string{"eye"}, smoke(kb.Yes))
	open.Closing = nil
	none := map[string]*TableCounts{}
	// Masses of a standard normal variable: Phi(1) = 0.841345 (any table of the
	// normal distribution, such as Abramowitz and Stegun, table 26.1).
	const phi1 = 0.8413447460685429
	tests := []struct {
		name string
		job  *kb.Job
		want map[string]*TableCounts
	}{
		{"only cause has a row", job([]string{"eye"}, smoke(kb.Yes)), only("symptom/smoke", "eye", row(0, 1))},
		{"cause without a row", job([]string{"wire"}, smoke(kb.No)), only("symptom/smoke", "", row(1, 0))},
		{"row on another table only", job([]string{"nozzle"}, saw(kb.KindCheck, "ohms", "ok")), only("check/ohms", "", row(1, 0))},
		{"two causes without rows", job([]string{"wire", "spare"}, smoke(kb.Yes)), only("symptom/smoke", "", row(0, 1))},
		{"two causes, one with a row", job([]string{"wire", "eye"}, smoke(kb.Yes)), none},
		{"root without, effect with a row", job([]string{"grate", "eye"}, smoke(kb.Yes)), none},
		{"unlisted", job([]string{kb.Unlisted}, smoke(kb.Yes)), none},
		{"listed and unlisted", job([]string{"eye", kb.Unlisted}, smoke(kb.Yes)), none},
		{"listed and one nobody knows", job([]string{"eye", "eyelet"}, smoke(kb.Yes)), none},
		{"open job", open, none},
		{"done again", job([]string{"eye"}, smoke(kb.No), smoke(kb.Yes)), only("symptom/smoke", "eye", row(0, 1))},
		{"reading on the limit", job([]string{"eye"}, read(10)), only("check/ohms", "eye", row(0.5, 0.5))},
		{"reading one standard error above", job([]string{"eye"}, read(12)), only("check/ohms", "eye", row(1-phi1, phi1))},
		{"doubtful", job([]string{"eye"}, kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "ohms", Weights: map[string]float64{"ok": 0.6, "high": 0.2}}}), only("check/ohms", "eye", row(0.75, 0.25))},
		{"outcome nobody knows", job([]string{"eye"}, saw(kb.KindCheck, "ohms", "low")), none},
		{"check nobody knows", job([]string{"eye"}, saw(kb.KindCheck, "volts", "ok")), none},
		{"after its fix", job([]string{"eye"}, smoke(kb.Yes), kb.Act{Tried: "wipe-eye"}, smoke(kb.No)), only("symptom/smoke", "eye", row(0, 1))},
		{"after another fix", job([]string{"eye"}, smoke(kb.Yes), kb.Act{Tried: "mend-wire"}, smoke(kb.No)), only("symptom/smoke", "eye", row(1, 0))},
		{"after a fix of the effect", job([]string{"grate", "wire"}, kb.Act{Tried: "clean-grate"}, smoke(kb.No)), none},
		{"after a closing undone, its fix named", reopened(kb.Closing{At: at(0).Add(time.Second), Fixes: []string{"wipe-eye"}},
			job([]string{"eye"}, smoke(kb.Yes), smoke(kb.No))), only("symptom/smoke", "eye", row(0, 1))},
		{"after a closing undone, its cause named", reopened(kb.Closing{At: at(0).Add(time.Second), Causes: []string{"spare"}},
			job([]string{"wire"}, smoke(kb.Yes), smoke(kb.No))), only("symptom/smoke", "", row(0, 1))},
		{"at the minute of a closing undone, as days are imported", reopened(kb.Closing{At: at(0), Fixes: []string{"wipe-eye"}},
			job([]string{"eye"}, smoke(kb.Yes))), only("symptom/smoke", "eye", row(0, 1))},
		{"after a closing undone that treated nothing", reopened(kb.Closing{At: at(0).Add(time.Second), Causes: []string{"wire", kb.Unlisted}},
			job([]string{"eye"}, smoke(kb.Yes), smoke(kb.No))), only("symptom/smoke", "eye", row(1, 0))},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(kilnBase())
			c.Add(tt.job)
			if diff := diffNear(tt.want, c.Tables, 1e-15); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestSkipped: what the base does not know is reported and can be taken back.
func TestSkipped(t *testing.T) {
	c := New(kilnBase())
	strange := job([]string{"eye"}, saw(kb.KindCheck, "volts", "ok"), saw(kb.KindCheck, "ohms", "low"), saw(kb.KindSymptom, "bang", kb.Yes))
	shed, bare := job([]string{"eye"}), job([]string{"eye"})
	shed.Family, bare.Family = "shed", "bare"
	for _, j := range []*kb.Job{strange, shed, shed, bare} {
		c.Add(j)
	}
	want := map[string]int{"check/volts": 1, "check/ohms": 1, "symptom/bang": 1, "family/shed": 2, "family/bare": 1}
	if diff := cmp.Diff(want, c.Skipped); diff != "" {
		t.Error(diff)
	}
	for _, j := range []*kb.Job{strange, shed, shed, bare} {
		c.Remove(j)
	}
	if len(c.Skipped) > 0 {
		t.Errorf("left %v", c.Skipped)
	}
}

// TestWeight: confidence and age, and dates that cannot be.
func TestWeight(t *testing.T) {
	year := func(n float64) time.Time { return epoch.Add(time.Duration(n * yearSeconds * 1e9)) }
	tests := []struct {
		name       string
		halfLife   float64
		closed     time.Time
		confidence float64
		want       float64 // at the epoch
	}{
		{"new and certain", 3, epoch, 1, 1},
		{"half sure", 3, epoch, 0.5, 0.5},
		{"one half-life old", 3, year(-3), 1, 0.5},
		{"two half-lives old, 80 % sure", 3, year(-6), 0.8, 0.2},
		{"never less", 0, year(-100), 0.8, 0.8},
		{"no date", 3, time.Time{}, 1, 0},
		{"dated ahead", 3, year(200), 1, 1},
		{"a half-life of a second", 1 / yearSeconds, year(-1), 1, 0},
		{"dated ahead, half-life of a second", 1 / yearSeconds, year(1), 1, 1},
		{"confidence above 1", 0, epoch, 7, 1},
		{"confidence not stated", 0, epoch, 0, 0},
		{"confidence not a number", 0, epoch, math.NaN(), 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := kilnBase()
			b.Settings.HalfLifeYears = tt.halfLife
			c := New(b)
			j := job([]string{"eye"})
			j.Closing.At, j.Closing.Confidence = tt.closed, tt.confidence
			c.Add(j)
			for _, p := range c.Priors(b, kiln, "", epoch) {
				if p.ID == "eye" && math.Abs(p.Weighted-tt.want) > 1e-12 {
					t.Errorf("weighs %v, want %v", p.Weighted, tt.want)
				}
			}
			for _, when := range []time.Time{{}, epoch, year(3000)} {
				m, err := c.Model(b, kiln, "", when)
				if err != nil || math.IsNaN(m.Causes[0].Share) || math.IsNaN(m.Unlisted) {
					t.Errorf("at %v: %+v, %v", when, m, err)
				}
			}
		})
	}
}

// TestZeroShareMoves: a cause that the base gives no share gets one from jobs.
func TestZeroShareMoves(t *testing.T) {
	b := kilnBase()
	for i := range b.Causes {
		b.Causes[i].Share = map[string]float64{kiln: 1}
	}
	b.Causes[0].Share[kiln] = 0
	c := New(b)
	for range 6 {
		c.Add(job([]string{"grate"}))
	}
	p := c.Priors(b, kiln, "", epoch)
	i := 0
	for p[i].ID != "grate" {
		i++
	}
	if want := 6.0 / 36; p[i].Start != 0 || math.Abs(p[i].Now-want) > 1e-15 || p[i].Jobs != 6 || !(p[i].Low > 0.05 && p[i].High < 0.35) {
		t.Errorf("%+v, want a share of %v", p[i], want)
	}
}

// TestRowOfAnotherFamilyIsNotNormally: smoke has a row for vent, a cause of the
// oven only. It must not count to `normally` in the kiln's model.
func TestRowOfAnotherFamilyIsNotNormally(t *testing.T) {
	b := kilnBase()
	c := New(b)
	for range 10 {
		j := job([]string{"vent"}, saw(kb.KindSymptom, "smoke", kb.Yes))
		j.Family = oven
		c.Add(j)
	}
	m, err := c.Model(b, kiln, "", epoch)
	if err != nil {
		t.Fatal(err)
	}
	if got := m.Observables[0].Normally[1]; got != 0.1 {
		t.Errorf("normally %v, want 0.1 as authored", got)
	}
	m, _ = c.Model(b, oven, "", epoch)
	if want := (8*0.7 + 10) / 18; math.Abs(m.Observables[0].Rows[0].P[1]-want) > 1e-15 {
		t.Errorf("row %v, want %v", m.Observables[0].Rows[0].P, want)
	}
}

// TestRowsOfAnotherShop: a shop whose base has one more row hands its counts on.
// Where this base has no such row they are evidence about `normally`; counts of
// a cause that this base does not have are evidence about nothing.
func TestRowsOfAnotherShop(t *testing.T) {
	theirs := kilnBase()
	theirs.Causes = append(theirs.Causes, kb.Cause{ID: "eyelet", Share: map[string]float64{kiln: 1}, Fix: "wipe-eye"})
	for _, id := range []string{"wire", "eyelet"} {
		theirs.Symptoms[0].If = append(theirs.Symptoms[0].If, kb.Row{Cause: id, Table: kb.Table{{Outcome: kb.Yes, P: 0.5}}})
	}
	theirs.Reindex()
	shop := New(theirs)
	shop.Add(job([]string{"wire"}, saw(kb.KindSymptom, "smoke", kb.Yes)))
	shop.Add(job([]string{"eyelet"}, saw(kb.KindSymptom, "smoke", kb.Yes)))
	ours := kilnBase()
	c := New(ours)
	c.Add(job([]string{"wire"}, saw(kb.KindSymptom, "smoke", kb.No)))
	if err := c.Merge(shop); err != nil {
		t.Fatal(err)
	}
	m, err := c.Model(ours, kiln, "", epoch)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := m.Observables[0].Normally[1], (8*0.1+1)/10; math.Abs(got-want) > 1e-15 {
		t.Errorf("normally %v, want %v", got, want)
	}
	if n := len(m.Observables[0].Rows); n != 2 {
		t.Errorf("%d rows in the kiln, want 2", n)
	}
	if ch := c.TableChanges(ours, epoch); len(ch) != 2 || ch[0].Cause != "" || ch[0].Jobs != 2 {
		t.Errorf("changes %+v", ch)
	}
}

// TestTableChanges: what moved, most first, from a doubtful finding and one of a
// job whose date lies ahead and which counts as one job all the same.
func TestTableChanges(t *testing.T) {
	b := kilnBase()
	b.Settings.HalfLifeYears = 3
	c := New(b)
	ahead := job([]string{"eye"}, kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "ohms", Weights: map[string]float64{"ok": 0.75, "high": 0.25}}})
	ahead.Closing.At = epoch.AddDate(30, 0, 0)
	half := job([]string{"wire"}, saw(kb.KindSymptom, "smoke", kb.Yes))
	half.Closing.At, half.Closing.Confidence = epoch, 0.5
	c.Add(ahead)
	c.Add(half)
	want := []TableChange{
		{Observable: "check/ohms", Name: "Ohms", Cause: "eye", Outcome: "ok", Start: 0.2, Now: (8*0.2 + 0.75) / 9, Jobs: 1, Weighted: 1},
		{Observable: "check/ohms", Name: "Ohms", Cause: "eye", Outcome: "high", Start: 0.8, Now: (8*0.8 + 0.25) / 9, Jobs: 1, Weighted: 1},
		{Observable: "symptom/smoke", Name: "Smoke", Outcome: kb.No, Start: 0.9, Now: 8 * 0.9 / 8.5, Jobs: 1, Weighted: 0.5},
		{Observable: "symptom/smoke", Name: "Smoke", Outcome: kb.Yes, Start: 0.1, Now: (8*0.1 + 0.5) / 8.5, Jobs: 1, Weighted: 0.5},
	}
	if diff := diffNear(want, c.TableChanges(b, epoch), 1e-15); diff != "" {
		t.Error(diff)
	}
}
