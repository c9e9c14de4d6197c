package kb

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// renamedSample is the sample after an edit: everything a job can name has
// another id, and two former parts, causes and outcomes became one.
const renamedSample = `schema: 1
families: [{id: oil-heater, was: [oil-furnace, oil-unit], name: Oil heater}]
states: [{id: mains, was: [power], values: ["on", "off"], minutes: {"on>off": 1}}]
symptoms: [{id: smoke, was: [smokes], name: Smokes, families: [oil-heater], minutes: 1, normally: {"no": 1}}]
checks:
  - {id: flue-draft, was: [draft], name: Draft, families: [oil-heater], minutes: 4, reading: {unit: inWC}, normally: {ok: 1},
     outcomes: [{id: ok, was: [good], name: good, to: -0.02}, {id: weak, was: [low, none, ok], name: weak, from: -0.02}]}
causes:
  - {id: nozzle-bad, was: [nozzle-worn, nozzle-plugged], name: Nozzle, share: {oil-heater: 1}, fix: new-nozzle}
  - {id: flue-shut, was: [flue-blocked, unlisted, nozzle-bad], name: Flue, share: {oil-heater: 1}, fix: sweep}
fixes:
  - {id: new-nozzle, was: [replace-nozzle], name: Nozzle, minutes: 1, cures: 1}
  - {id: sweep, was: [clear-flue, replace-nozzle], name: Sweep, minutes: 1, cures: 1}
parts: [{id: nozzle-any, was: [nozzle-085, nozzle-100], name: Nozzle}]
`

func renamedBase(t testing.TB) *Base {
	t.Helper()
	b, problems := loadText(renamedSample)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return b
}

func TestRenamed(t *testing.T) {
	b := renamedBase(t)
	finding := func(f Finding) Job { return Job{Acts: []Act{{Event: "e", Finding: &f}, {Tried: "other"}}} }
	for name, c := range map[string]struct{ job, want Job }{
		"family":                          {Job{ID: "1", Family: "oil-furnace", Model: "oil-furnace"}, Job{ID: "1", Family: "oil-heater", Model: "oil-furnace"}},
		"earlier family":                  {Job{Family: "oil-unit"}, Job{Family: "oil-heater"}},
		"symptom":                         {finding(Finding{Kind: KindSymptom, ID: "smokes", Outcome: Yes}), finding(Finding{Kind: KindSymptom, ID: "smoke", Outcome: Yes})},
		"symptom called as a check was":   {finding(Finding{Kind: KindSymptom, ID: "draft", Outcome: Yes}), finding(Finding{Kind: KindSymptom, ID: "draft", Outcome: Yes})},
		"check":                           {finding(Finding{Kind: KindCheck, ID: "draft", Outcome: "ok"}), finding(Finding{Kind: KindCheck, ID: "flue-draft", Outcome: "ok"})},
		"check and outcome":               {finding(Finding{Kind: KindCheck, ID: "draft", Outcome: "low", Minutes: 4}), finding(Finding{Kind: KindCheck, ID: "flue-draft", Outcome: "weak", Minutes: 4})},
		"outcome alone":                   {finding(Finding{Kind: KindCheck, ID: "flue-draft", Outcome: "good"}), finding(Finding{Kind: KindCheck, ID: "flue-draft", Outcome: "ok"})},
		"reading":                         {finding(Finding{Kind: KindCheck, ID: "draft", Reading: new(-0.03)}), finding(Finding{Kind: KindCheck, ID: "flue-draft", Reading: new(-0.03)})},
		"outcome of another check":        {finding(Finding{Kind: KindCheck, ID: "look", Outcome: "low"}), finding(Finding{Kind: KindCheck, ID: "look", Outcome: "low"})},
		"weights":                         {finding(Finding{Kind: KindCheck, ID: "draft", Weights: map[string]float64{"good": 0.7, "low": 0.3}}), finding(Finding{Kind: KindCheck, ID: "flue-draft", Weights: map[string]float64{"ok": 0.7, "weak": 0.3}})},
		"weights of what became one":      {finding(Finding{Kind: KindCheck, ID: "draft", Weights: map[string]float64{"ok": 0.25, "low": 0.25, "none": 0.375, "weak": 0.125}}), finding(Finding{Kind: KindCheck, ID: "flue-draft", Weights: map[string]float64{"ok": 0.25, "weak": 0.75}})},
		"tried":                           {Job{Acts: []Act{{Tried: "replace-nozzle", Minutes: 9}}}, Job{Acts: []Act{{Tried: "new-nozzle", Minutes: 9}}}},
		"state":                           {Job{Acts: []Act{{State: map[string]string{"power": "off", "door": "open"}}}}, Job{Acts: []Act{{State: map[string]string{"mains": "off", "door": "open"}}}}},
		"state under both ids":            {Job{Acts: []Act{{State: map[string]string{"power": "off", "mains": "on"}}}}, Job{Acts: []Act{{State: map[string]string{"mains": "on"}}}}},
		"closing":                         {Job{Closing: &Closing{Causes: []string{"flue-blocked", Unlisted}, Fixes: []string{"clear-flue"}, Used: map[string]float64{"nozzle-085": 1}, Minutes: 40, Confidence: 0.8}}, Job{Closing: &Closing{Causes: []string{"flue-shut", Unlisted}, Fixes: []string{"sweep"}, Used: map[string]float64{"nozzle-any": 1}, Minutes: 40, Confidence: 0.8}}},
		"one of two that became one":      {Job{Closing: &Closing{OneOf: true, Causes: []string{"nozzle-worn", "nozzle-plugged"}}}, Job{Closing: &Closing{Causes: []string{"nozzle-bad"}}}},
		"one of three of which two are":   {Job{Closing: &Closing{OneOf: true, Causes: []string{"nozzle-worn", "flue-shut", "nozzle-bad"}}}, Job{Closing: &Closing{OneOf: true, Causes: []string{"nozzle-bad", "flue-shut"}}}},
		"parts that became one":           {Job{Closing: &Closing{Used: map[string]float64{"nozzle-085": 1, "nozzle-100": 2, "nozzle-any": 4, "pump": 1}}}, Job{Closing: &Closing{Used: map[string]float64{"nozzle-any": 7, "pump": 1}}}},
		"none used is not nothing stated": {Job{Closing: &Closing{Causes: []string{"nozzle-worn"}, Used: map[string]float64{}}}, Job{Closing: &Closing{Causes: []string{"nozzle-bad"}, Used: map[string]float64{}}}},
		"past closings":                   {Job{Past: []Closing{{Causes: []string{"pump-dead"}}, {Causes: []string{"nozzle-worn"}}}}, Job{Past: []Closing{{Causes: []string{"pump-dead"}}, {Causes: []string{"nozzle-bad"}}}}},
		"the second claim":                {Job{Acts: []Act{{Tried: "replace-nozzle"}, {Tried: "sweep"}}}, Job{Acts: []Act{{Tried: "new-nozzle"}, {Tried: "sweep"}}}},
		"present ids stay":                {Job{Family: "oil-heater", Closing: &Closing{Causes: []string{"nozzle-bad"}}}, Job{Family: "oil-heater", Closing: &Closing{Causes: []string{"nozzle-bad"}}}},
		"unknown ids stay":                {Job{Family: "gas", Acts: []Act{{Tried: "kick"}}, Closing: &Closing{Causes: []string{"gone"}}}, Job{Family: "gas", Acts: []Act{{Tried: "kick"}}, Closing: &Closing{Causes: []string{"gone"}}}},
	} {
		t.Run(name, func(t *testing.T) {
			before := written(t, &c.job)
			got, changed := b.Renamed(&c.job)
			if d := cmp.Diff(&c.want, got); d != "" {
				t.Error("job (-want +got):\n", d)
			}
			if same := cmp.Equal(c.job, c.want); changed == same || same && got != &c.job {
				t.Errorf("changed is %v, and the job was copied: %v", changed, got != &c.job)
			}
			if after := written(t, &c.job); after != before {
				t.Errorf("the job that was given changed\nfrom %s\nto   %s", before, after)
			}
		})
	}
}

func written(t interface{ Fatal(...any) }, j *Job) string {
	text, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestRenamedWithoutFormerIDs: a base that names none gives every job back as
// it is, without a copy.
func TestRenamedWithoutFormerIDs(t *testing.T) {
	b, _ := loadText(sample)
	j := &Job{Family: "oil-furnace", Acts: []Act{{Tried: "replace-nozzle"}}, Closing: &Closing{Causes: []string{"nozzle-worn"}}}
	if n := testing.AllocsPerRun(100, func() {
		if got, changed := b.Renamed(j); got != j || changed {
			t.Fatal("the job was changed or copied")
		}
	}); n != 0 {
		t.Errorf("%g allocations", n)
	}
	if got, changed := new(Base).Renamed(j); got != j || changed {
		t.Error("an empty base changed the job")
	}
}

func TestToday(t *testing.T) {
	b := renamedBase(t)
	for _, c := range []struct{ list, id, want string }{
		{"families", "oil-unit", "oil-heater"}, {"states", "power", "mains"}, {"symptoms", "smokes", "smoke"}, {"checks", "draft", "flue-draft"},
		{"causes", "nozzle-plugged", "nozzle-bad"}, {"causes", "nozzle-bad", "nozzle-bad"}, {"causes", Unlisted, Unlisted}, {"causes", "draft", "draft"},
		{"fixes", "clear-flue", "sweep"}, {"parts", "nozzle-100", "nozzle-any"}, {"holds", "x", "x"},
	} {
		if got := b.Today(c.list, c.id); got != c.want {
			t.Errorf("%s of today for %q is %q, want %q", c.list, c.id, got, c.want)
		}
	}
}

func TestParseFindingInFormerIDs(t *testing.T) {
	b := renamedBase(t)
	for _, c := range []struct {
		kind, text string
		want       Finding
		err        string
	}{
		{"", "draft=low", Finding{Kind: KindCheck, ID: "flue-draft", Outcome: "weak"}, ""},
		{KindCheck, " draft = -0.03 inWC", Finding{Kind: KindCheck, ID: "flue-draft", Reading: new(-0.03)}, ""},
		{KindCheck, "flue-draft=good:0.75, none:0.25", Finding{Kind: KindCheck, ID: "flue-draft", Weights: map[string]float64{"ok": 0.75, "weak": 0.25}}, ""},
		{"", "smokes", Finding{Kind: KindSymptom, ID: "smoke", Outcome: Yes}, ""},
		{KindSymptom, "smokes=no", Finding{Kind: KindSymptom, ID: "smoke", Outcome: No}, ""},
		{KindCheck, "smokes=no", Finding{}, `no check "smokes"; there are: flue-draft`},
		{KindSymptom, "draft=low", Finding{}, `no symptom "draft"; there are: smoke`},
		{"", "draft", Finding{}, `check "flue-draft" needs a result: flue-draft=ok|weak`},
	} {
		got, err := b.ParseFinding(c.kind, "oil-heater", c.text)
		said := ""
		if err != nil {
			got, said = Finding{}, err.Error()
		}
		if d := cmp.Diff(c.want, got); d != "" || said != c.err {
			t.Errorf("%s %q: %q, finding (-want +got):\n%s", c.kind, c.text, said, d)
		}
	}
}

// drawNamed draws a job that names ids of a base, present and former ones, and
// some of nobody.
func drawNamed(t *rapid.T, b *Base) *Job {
	pick := func(list string, former map[string]string) string {
		have := append(b.IDs(list), "nobodys")
		for id := range former {
			have = append(have, id)
		}
		slices.Sort(have)
		return rapid.SampledFrom(have).Draw(t, list)
	}
	f := &b.index.former
	outcome := func() string {
		return rapid.SampledFrom([]string{"ok", "good", "weak", "low", "none", "nobodys"}).Draw(t, "outcome")
	}
	closing := func() Closing {
		c := Closing{Causes: []string{}, Used: map[string]float64{}}
		for range rapid.IntRange(0, 3).Draw(t, "causes") {
			if id := pick("causes", f.causes); !slices.Contains(c.Causes, id) {
				c.Causes = append(c.Causes, id)
			}
		}
		c.OneOf = len(c.Causes) > 1 && rapid.Bool().Draw(t, "one of")
		for range rapid.IntRange(0, 3).Draw(t, "parts") {
			c.Used[pick("parts", f.parts)] = float64(rapid.IntRange(1, 4).Draw(t, "pieces"))
		}
		return c
	}
	j := &Job{ID: "1", Family: pick("families", f.families)}
	for i := range rapid.IntRange(0, 5).Draw(t, "acts") {
		a := Act{At: time.Unix(int64(i), 0).UTC()}
		switch rapid.IntRange(0, 4).Draw(t, "act") {
		case 0:
			a.Finding = &Finding{Kind: KindSymptom, ID: pick("symptoms", f.symptoms), Outcome: Yes}
		case 1:
			a.Finding = &Finding{Kind: KindCheck, ID: pick("checks", f.checks), Outcome: outcome()}
		case 2:
			a.Finding = &Finding{Kind: KindCheck, ID: pick("checks", f.checks), Weights: map[string]float64{outcome(): 0.5, "ok": 0.5}}
		case 3:
			a.Tried = pick("fixes", f.fixes)
		case 4:
			a.State = map[string]string{pick("states", f.states): "off"}
		}
		j.Acts = append(j.Acts, a)
	}
	for range rapid.IntRange(0, 2).Draw(t, "past") {
		j.Past = append(j.Past, closing())
	}
	if rapid.Bool().Draw(t, "closed") {
		j.Closing = new(closing())
	}
	return j
}

// TestRenamedTwiceIsOnce: renaming twice is renaming once, leaves what it was
// given, adds nothing that the base lacks, and keeps the pieces and the chances.
func TestRenamedTwiceIsOnce(t *testing.T) {
	b := renamedBase(t)
	rapid.Check(t, func(t *rapid.T) {
		j := drawNamed(t, b)
		before, lacked := written(t, j), b.Missing(j)
		once, _ := b.Renamed(j)
		if after := written(t, j); after != before {
			t.Fatalf("the job that was given changed\nfrom %s\nto   %s", before, after)
		}
		if again, changed := b.Renamed(once); changed || again != once {
			t.Fatalf("renaming twice changes %s\nto %s", written(t, once), written(t, again))
		}
		left := b.Missing(once)
		for _, m := range left {
			if m.Family == "" && m.Of == "" && m.ID != "nobodys" {
				t.Fatalf("%v is missing in today's ids", m)
			}
		}
		if len(lacked) < len(left) && !slices.ContainsFunc(lacked, func(m Missing) bool { return m.Kind == KindFamily || m.Kind == KindCheck }) {
			t.Fatalf("more is missing after renaming: %v, before %v", left, lacked)
		}
		if piecesOf(j) != piecesOf(once) || chancesOf(j) != chancesOf(once) || len(j.Acts) != len(once.Acts) {
			t.Fatalf("something was lost from %s\nto %s", written(t, j), written(t, once))
		}
	})
}

// piecesOf and chancesOf add up in halves and wholes, so that they are exact.
func piecesOf(j *Job) (n float64) {
	closings := j.Past
	if j.Closing != nil {
		closings = append(slices.Clone(closings), *j.Closing)
	}
	for _, c := range closings {
		for _, qty := range c.Used {
			n += qty
		}
	}
	return n
}

func chancesOf(j *Job) (p float64) {
	for _, a := range j.Acts {
		if a.Finding != nil {
			for _, w := range a.Finding.Weights {
				p += w
			}
		}
	}
	return p
}

func BenchmarkRenamed(b *testing.B) {
	j := &Job{Family: "oil-furnace", Closing: &Closing{Causes: []string{"nozzle-worn"}}}
	for range 10 {
		j.Acts = append(j.Acts, Act{Finding: &Finding{Kind: KindCheck, ID: "draft", Outcome: "low"}})
	}
	plain, _ := loadText(sample)
	for _, c := range []struct {
		name string
		base *Base
	}{{"no-former-ids", plain}, {"all-renamed", renamedBase(b)}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				c.base.Renamed(j)
			}
		})
	}
	b.Run("missing", func(b *testing.B) {
		for b.Loop() {
			plain.Missing(j)
		}
	})
}
