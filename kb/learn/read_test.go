package learn

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"sootsayer/kb"
)

// TestRefused: counts that cannot be added, read or used say so and change
// nothing.
func TestRefused(t *testing.T) {
	b := kilnBase()
	c := count(b, []*kb.Job{job([]string{"eye"}, read(3))})
	before, _ := json.Marshal(c)
	longer, split := kilnBase(), kilnBase()
	longer.Settings.HalfLifeYears = 5
	split.Checks[0].Outcomes[1].ID = "open"
	split.Checks[0].Normally[1].Outcome, split.Checks[0].If[0].Table[0].Outcome = "open", "open"
	merge := func(other *kb.Base) func() error {
		return func() error { return c.Merge(count(other, []*kb.Job{job([]string{"eye"}, read(3))})) }
	}
	reads := func(data string) func() error {
		return func() error { _, err := Read(b, []byte(data)); return err }
	}
	model := func(b *kb.Base, family string) func() error {
		return func() error { _, err := c.Model(b, family, "", epoch); return err }
	}
	tests := []struct {
		name, says string
		do         func() error
	}{
		{"merge with another half-life", "half-life of 5 years", merge(longer)},
		{"merge with other outcomes", `"check/ohms" are for the outcomes [ok open]`, merge(split)},
		{"read what is no JSON", "cannot be read", reads("{")},
		{"read another version", "version 7", reads(`{"version":7}`)},
		{"read another half-life", "half-life of 2 years", reads(`{"version":2,"half_life_years":2}`)},
		{"read other outcomes", "[ok low]", reads(`{"version":2,"tables":{"check/ohms":{"outcomes":["ok","low"]}}}`)},
		{"read a short row", "do not match", reads(`{"version":2,"tables":{"check/ohms":{"outcomes":["ok","high"],"rows":{"eye":{"n":1,"w":[1]}}}}}`)},
		{"read a short normally", "do not match", reads(`{"version":2,"tables":{"check/ohms":{"outcomes":["ok","high"],"normally":{"n":1}}}}`)},
		{"read an empty table", "do not match", reads(`{"version":2,"tables":{"check/ohms":null}}`)},
		{"read an empty family", `family "kiln"`, reads(`{"version":2,"families":{"kiln":null}}`)},
		{"read what was written before there were cures", "version 1", reads(`{"version":1}`)},
		{"read an empty fix", `fix "wipe-eye"`, reads(`{"version":2,"fixes":{"wipe-eye":null}}`)},
		{"read a fix without pieces", `fix "wipe-eye"`, reads(`{"version":2,"fixes":{"wipe-eye":{"pieces":{"kiln":null}}}}`)},
		{"read words for pieces", `fix "wipe-eye"`, reads(`{"version":2,"fixes":{"wipe-eye":{"pieces":{"kiln":{"parts":{"glass":{"two":{"n":1,"w":1}}}}}}}}`)},
		{"read no pieces", `fix "wipe-eye"`, reads(`{"version":2,"fixes":{"wipe-eye":{"pieces":{"kiln":{"parts":{"glass":{"0":{"n":1,"w":1}}}}}}}}`)},
		{"read pieces written otherwise", `fix "wipe-eye"`, reads(`{"version":2,"fixes":{"wipe-eye":{"pieces":{"kiln":{"parts":{"glass":{"1.0":{"n":1,"w":1}}}}}}}}`)},
		{"model of an unknown family", `"kilm"`, model(b, "kilm")},
		{"model of a base with other outcomes", `[ok open] here`, model(split, kiln)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			err := tt.do()
			if err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("got %v, want %q in it", err, tt.says)
			}
		})
	}
	if after, _ := json.Marshal(c); string(after) != string(before) {
		t.Errorf("%s became %s", before, after)
	}
	if p := c.Priors(b, "kilm", "", epoch); p != nil {
		t.Errorf("priors of an unknown family: %v", p)
	}
}

// TestWrittenForm pins the form on disk: equal counts give equal bytes, and what
// became empty is not there.
func TestWrittenForm(t *testing.T) {
	b := partsBase()
	timed := job([]string{"grate", "nozzle"}, lastedActs(1, saw(kb.KindCheck, "ohms", "high"))...)
	timed.Model, timed.Closing.FixMinutes, timed.Closing.Fixes, timed.Closing.Used = "K2", 1, []string{"wipe-eye"}, map[string]float64{"glass": 2}
	c := count(b, []*kb.Job{job([]string{"eye"}, saw(kb.KindCheck, "ohms", "high")), timed, job([]string{"wire", "gone"})})
	got, _ := json.Marshal(c)
	want := `{"version":2,"half_life_years":0,` +
		`"families":{"kiln":{"jobs":{"n":3,"w":3},"listed":{"n":3,"w":3},` +
		`"roots":{"eye":{"n":1,"w":1},"grate":{"n":1,"w":1},"wire":{"n":1,"w":1}},"models":{"K2":{"grate":{"n":1,"w":1}}},` +
		`"seasons":{"2025":{"eye":{"n":1,"w":1},"grate":{"n":1,"w":1},"wire":{"n":1,"w":1}}},` +
		`"effects":{"grate\u003enozzle":{"n":1,"w":1,"hits":1},"nozzle\u003eeye":{"n":1,"w":1,"hits":0}}}},` +
		`"tables":{"check/ohms":{"outcomes":["ok","high"],"normally":{"n":1,"w":[0,1]},"rows":{"eye":{"n":1,"w":[0,1]}}}},` +
		`"fixes":{"wipe-eye":{"cures":{"n":1,"w":1,"hits":1},"minutes":{"n":1,"w":1,"ln":0,"ln^2":0},` +
		`"pieces":{"kiln":{"times":{"n":1,"w":1},"parts":{"glass":{"2":{"n":1,"w":1}}}}}}},` +
		`"minutes":{"check/ohms":{"n":1,"w":1,"ln":0,"ln^2":0}},` +
		`"skipped":{"cause/gone":1}}`
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	c.Remove(timed)
	got, _ = json.Marshal(c)
	want = `{"version":2,"half_life_years":0,` +
		`"families":{"kiln":{"jobs":{"n":2,"w":2},"listed":{"n":2,"w":2},"roots":{"eye":{"n":1,"w":1},"wire":{"n":1,"w":1}},` +
		`"seasons":{"2025":{"eye":{"n":1,"w":1},"wire":{"n":1,"w":1}}}}},` +
		`"tables":{"check/ohms":{"outcomes":["ok","high"],"rows":{"eye":{"n":1,"w":[0,1]}}}},` +
		`"fixes":{"wipe-eye":{"cures":{"n":1,"w":1,"hits":1}}},` +
		`"skipped":{"cause/gone":1}}`
	if string(got) != want {
		t.Errorf("taken back: got  %s\nwant %s", got, want)
	}
}

// FuzzRead: whatever stands in the file, reading it gives an error or counts
// that can be used.
func FuzzRead(f *testing.F) {
	b := partsBase()
	b.Checks[0].Minutes, b.Fixes[2].Minutes, b.Fixes[2].Proof = 4, 10, "ohms"
	timed := job([]string{"grate", "nozzle"}, lastedActs(3, saw(kb.KindCheck, "ohms", "high"))...)
	timed.Model, timed.Closing.FixMinutes, timed.Closing.Fixes, timed.Closing.Used = "K2", 7, []string{"wipe-eye"}, map[string]float64{"glass": 2}
	data, _ := json.Marshal(count(b, []*kb.Job{timed, job([]string{"wire"}, saw(kb.KindSymptom, "smoke", kb.Yes))}))
	f.Add(data)
	f.Add([]byte(`{"version":2,"families":{"kiln":{"jobs":{"n":-1,"w":1e308},"roots":{"eye":{"n":9,"w":-1e308}}}}}`))
	f.Add([]byte(`{"version":2,"tables":{"check/ohms":{"outcomes":["ok","high"],"normally":{"n":1,"w":[1e308,1e308]}}}}`))
	f.Add([]byte(`{"version":2,"minutes":{"check/ohms":{"n":9,"w":1e-308,"ln":1e308,"ln^2":1e308}}}`))
	f.Add([]byte(`{"version":2,"families":{"kiln":{"jobs":{"n":1,"w":1},"effects":{"grate>nozzle":{"n":9,"w":1e-308,"hits":-1e308}}}}}`))
	f.Add([]byte(`{"version":2,"fixes":{"wipe-eye":{"cures":{"n":1,"w":1,"hits":2},"pieces":{"kiln":{"times":{"n":1,"w":1},"parts":{"glass":{"1e300":{"n":9,"w":9}}}}}}}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Read(b, data)
		if err != nil {
			return
		}
		c.Add(job([]string{"eye"}, read(3)))
		m, err := c.Model(b, kiln, "K2", epoch)
		if err != nil {
			t.Fatal(err)
		}
		checkModel(t, m)
		for _, table := range c.Pieces(b, kiln, "wipe-eye", epoch) {
			for _, p := range table.Pieces {
				checkChance(t, table.Part, p.P)
			}
		}
	})
}

// tester is a test of the package testing or a property's.
type tester interface {
	Helper()
	Fatalf(format string, args ...any)
}

func checkChance(t tester, what string, p float64) {
	t.Helper()
	if !(p >= 0 && p <= 1) {
		t.Fatalf("%s: chance %v", what, p)
	}
}

// checkModel checks that every number of a model can be one.
func checkModel(t tester, m *kb.Model) {
	t.Helper()
	var sum float64
	for _, mc := range m.Causes {
		sum += mc.Share
		for _, e := range mc.Effects {
			checkChance(t, "effect of "+mc.ID, e.P)
		}
	}
	if !(math.Abs(sum-1) < 1e-9) {
		t.Fatalf("shares sum to %v", sum)
	}
	for _, o := range m.Observables {
		checkChance(t, o.ID, o.Normally[0])
		if !(o.Minutes >= 0 && o.Minutes <= mostMinutes) {
			t.Fatalf("%s takes %v minutes", o.ID, o.Minutes)
		}
	}
	for _, f := range m.Fixes {
		checkChance(t, f.ID, f.Cures)
		if !(f.Minutes >= 0 && f.Minutes <= mostMinutes) {
			t.Fatalf("%s takes %v minutes", f.ID, f.Minutes)
		}
		for _, use := range f.Parts {
			checkChance(t, use.Part, use.Chance)
			if !(use.Qty >= 0) || math.IsInf(use.Qty, 1) {
				t.Fatalf("%v pieces of %s", use.Qty, use.Part)
			}
		}
	}
}
