package data

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// TestPublishedReadings: readings that a source calls good or bad fall into the
// outcome that says so. Sources stand beside each in testdata/published.
func TestPublishedReadings(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "published", "trade-readings.json"))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		Check, Outcome, Source string
		Reading                float64
	}
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatal(err)
	}
	b, err := Base()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range list {
		c, ok := b.Check(x.Check)
		if !ok {
			t.Errorf("no check %s", x.Check)
			continue
		}
		got := ""
		for _, o := range c.Outcomes {
			if r := o.Range(); r.From < x.Reading && x.Reading <= r.To {
				got = o.ID
			}
		}
		if got != x.Outcome {
			t.Errorf("%s = %g %s is %q, want %q (%s)", x.Check, x.Reading, c.Reading.Unit, got, x.Outcome, x.Source)
		}
	}
}

// TestFactsOfTheTrade: what every technician knows must come out of the tables.
// All of them are common practice, no source, unless a source is named.
func TestFactsOfTheTrade(t *testing.T) {
	thermostat := []string{"thermostat-failed", "thermostat-wire-open", "thermostat-batteries-dead", "thermostat-set-wrong"}
	control := []string{"control-dead", "control-false-flame", "control-latched", "control-relay-worn"}
	tests := []struct {
		name      string
		symptoms  []string
		found     [][2]string
		likely    []string // together nearly sure
		unlikely  []string // together nearly ruled out
		atLeast   float64
		atMost    float64
		firstOnly string // the likeliest cause, where the fact names one
	}{
		{name: "a thermostat input bridged at the control that starts the burner clears the control", // also training manual p. 307
			symptoms: []string{"burner-never-starts"}, found: [][2]string{{"thermostat-bridge-at-control", "starts"}},
			likely: thermostat, atLeast: 0.8, unlikely: control, atMost: 0.05},
		{name: "no start with the input bridged puts it at the control or below",
			symptoms: []string{"burner-never-starts"}, found: [][2]string{{"thermostat-bridge-at-control", "no-start"}},
			unlikely: thermostat, atMost: 0.03},
		{name: "a bridge at the far end of the wire that starts the burner clears the wire",
			symptoms: []string{"burner-never-starts"}, found: [][2]string{{"thermostat-bridge-at-control", "starts"}, {"thermostat-bridge-at-stat", "starts"}},
			unlikely: []string{"thermostat-wire-open"}, atMost: 0.03,
			likely: []string{"thermostat-failed", "thermostat-batteries-dead", "thermostat-set-wrong"}, atLeast: 0.8},
		{name: "no start from the far end, start at the control: the wire",
			symptoms: []string{"burner-never-starts"}, found: [][2]string{{"thermostat-bridge-at-control", "starts"}, {"thermostat-bridge-at-stat", "no-start"}},
			likely: []string{"thermostat-wire-open"}, atLeast: 0.8, firstOnly: "thermostat-wire-open"},
		{name: "a false-flame light that stays on with the sensor unhooked blames the control",
			symptoms: []string{"false-flame-light"}, found: [][2]string{{"false-flame-unhook-sensor", "stays"}},
			likely: []string{"control-false-flame"}, atLeast: 0.9, firstOnly: "control-false-flame"},
		{name: "a false-flame light that goes out with the sensor unhooked blames the sensor",
			symptoms: []string{"false-flame-light"}, found: [][2]string{{"false-flame-unhook-sensor", "goes-out"}},
			likely: []string{"flame-sensor-shorted", "flame-sensor-stray-light"}, atLeast: 0.8, unlikely: control, atMost: 0.03},
		{name: "110 to 120 V at the control and no answer at all: not the supply",
			symptoms: []string{"no-heat-dead"}, found: [][2]string{{"control-input-volts", "115"}},
			unlikely: []string{"supply-breaker-tripped", "service-switch-off"}, atMost: 0.05},
		{name: "nothing at the control: the supply, not the control",
			symptoms: []string{"no-heat-dead"}, found: [][2]string{{"control-input-volts", "0"}},
			unlikely: control, atMost: 0.05},
	}
	b, err := Base()
	if err != nil {
		t.Fatal(err)
	}
	for _, family := range []string{"oil-furnace", "used-oil-heater"} {
		m, err := kb.NewModel(b, family)
		if err != nil {
			t.Fatal(err)
		}
		e := ranker.New(m)
		for _, tt := range tests {
			t.Run(family+"/"+tt.name, func(t *testing.T) {
				var acts []string
				for _, s := range tt.symptoms {
					acts = append(acts, s+"="+kb.Yes)
				}
				for _, f := range tt.found {
					acts = append(acts, f[0]+"="+f[1])
				}
				belief := believe(t, b, e, family, acts)
				sum := func(causes []string) (p float64) {
					for _, c := range causes {
						p += belief.Probability(m.CauseIndex(c))
					}
					return p
				}
				if p := sum(tt.likely); p < tt.atLeast {
					t.Errorf("%v together %.3f, want at least %.2f", tt.likely, p, tt.atLeast)
				}
				if p := sum(tt.unlikely); tt.unlikely != nil && p > tt.atMost {
					t.Errorf("%v together %.3f, want at most %.2f", tt.unlikely, p, tt.atMost)
				}
				if first := belief.Likeliest(1)[0]; tt.firstOnly != "" && first != tt.firstOnly {
					t.Errorf("likeliest %s, want %s", first, tt.firstOnly)
				}
			})
		}
	}
}

// believe records CHECK=RESULT and SYMPTOM=yes words, in order.
func believe(t *testing.T, b *kb.Base, e *ranker.Engine, family string, words []string) *ranker.Belief {
	t.Helper()
	var acts []kb.Act
	for _, text := range words {
		f, err := b.ParseFinding("", family, text)
		if err != nil {
			t.Fatal(err)
		}
		acts = append(acts, kb.Act{Finding: &f})
	}
	belief, err := e.Believe(acts)
	if err != nil {
		t.Fatal(err)
	}
	return belief
}

// TestHoldsOfTheShippedBase: no more than three restarts before the cause is
// found and unburned fuel is cleared (common practice, no source); unburned
// fuel, fumes and a simulated flame hold work back until cleared.
func TestHoldsOfTheShippedBase(t *testing.T) {
	tests := []struct {
		name string
		acts []string // CHECK=RESULT or SYMPTOM=yes, in order
		want string   // the hold in force at the end
	}{
		{"three restarts", []string{"burner-start-watch=no-flame", "burner-start-watch=no-flame", "burner-start-watch=no-flame"}, "relight-limit"},
		{"three restarts, then a clear chamber", []string{"burner-start-watch=no-flame", "burner-start-watch=no-flame", "burner-start-watch=no-flame", "chamber-clear=ok"}, ""},
		{"unburned fuel", []string{"chamber-clear=oil-present"}, "unburned-fuel"},
		{"fumes", []string{"fumes-smell=yes"}, "fumes"},
		{"fumes, and the air is clean", []string{"fumes-smell=yes", "ambient-co=3"}, ""},
		{"much CO", []string{"ambient-co=120"}, "co-high"},
		{"a simulated flame", []string{"flame-signal-simulated=runs-on"}, "flame-simulation-off"},
		{"a simulated flame taken off", []string{"flame-signal-simulated=runs-on", "simulation-removed=ok"}, ""},
	}
	b, err := Base()
	if err != nil {
		t.Fatal(err)
	}
	for _, family := range b.IDs("families") {
		m, err := kb.NewModel(b, family)
		if err != nil {
			t.Fatal(err)
		}
		e := ranker.New(m)
		for _, tt := range tests {
			t.Run(family+"/"+tt.name, func(t *testing.T) {
				belief := believe(t, b, e, family, tt.acts)
				r := belief.Rank(ranker.Options{Detail: 1})
				got := ""
				for _, h := range r.Holds {
					got += h.ID
				}
				if got != tt.want {
					t.Errorf("holds %q, want %q", got, tt.want)
				}
			})
		}
	}
}

// TestSizeOfTheShippedBase holds the base to what was asked of it.
func TestSizeOfTheShippedBase(t *testing.T) {
	b, err := Base()
	if err != nil {
		t.Fatal(err)
	}
	if n := len(b.Checks); n < 60 {
		t.Errorf("%d checks, want 60", n)
	}
	if n := len(b.Parts); n < 45 {
		t.Errorf("%d parts, want 45", n)
	}
	for _, s := range b.Symptoms {
		if len(s.Phrases) < 6 || s.Ask == "" {
			t.Errorf("symptom %s has %d phrases and asks %q; want 6 phrases and a question", s.ID, len(s.Phrases), s.Ask)
		}
	}
	for _, c := range b.Checks {
		if len(c.How) == 0 || len(c.Cautions) == 0 || len(c.Basis) == 0 {
			t.Errorf("check %s lacks steps, cautions or a basis", c.ID)
		}
	}
	for _, f := range b.Fixes {
		if f.Proof == "" || len(f.How) == 0 || len(f.Basis) == 0 {
			t.Errorf("fix %s lacks steps, a proof or a basis", f.ID)
		}
	}
	for _, family := range b.IDs("families") {
		m, err := kb.NewModel(b, family)
		if err != nil {
			t.Fatal(err)
		}
		symptoms := 0
		for _, o := range m.Observables {
			if o.Kind == kb.KindSymptom {
				symptoms++
			}
		}
		if len(m.Causes) < 45 || symptoms < 20 {
			t.Errorf("%s has %d causes and %d symptoms, want 45 and 20", family, len(m.Causes), symptoms)
		}
	}
}
