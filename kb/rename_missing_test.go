package kb

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// twoFamilies is a base in which not everything belongs to every family.
const twoFamilies = `schema: 1
families: [{id: oil, name: Oil}, {id: gas, name: Gas}]
states: [{id: power, values: ["on", "off"], minutes: {"on>off": 1}}]
symptoms: [{id: smokes, name: Smokes, families: [oil], minutes: 1, normally: {"no": 1}}]
checks:
  - {id: draft, name: Draft, families: [oil], minutes: 4, reading: {unit: inWC}, normally: {ok: 1}, outcomes: [{id: ok, name: good, to: -0.02}, {id: low, name: weak, from: -0.02}]}
  - {id: look, name: Look, families: [oil, gas], minutes: 4, normally: {ok: 1}, outcomes: [{id: ok, name: good}, {id: bad, name: bad}]}
causes:
  - {id: nozzle-worn, name: Nozzle, share: {oil: 1}, fix: replace-nozzle}
  - {id: valve-stuck, name: Valve, share: {gas: 1}, fix: replace-valve}
fixes: [{id: replace-nozzle, name: Nozzle, minutes: 1, cures: 1}, {id: replace-valve, name: Valve, minutes: 1, cures: 1}]
parts: [{id: nozzle, name: Nozzle}]
`

func sawOutcome(kind, id, outcome string) Act {
	return Act{Finding: &Finding{Kind: kind, ID: id, Outcome: outcome}}
}

func TestMissing(t *testing.T) {
	b, problems := loadText(twoFamilies)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	reading := func(id string) Act { return Act{Finding: &Finding{Kind: KindCheck, ID: id, Reading: new(3.0)}} }
	unsure := Act{Finding: &Finding{Kind: KindCheck, ID: "look", Weights: map[string]float64{"ok": 0.5, "worse": 0.3, "worst": 0.2}}}
	power := Act{State: map[string]string{"power": "off"}}
	for name, c := range map[string]struct {
		job  Job
		want []Missing
		acts []int // of the job, which are known
	}{
		"nothing": {Job{Family: "oil", Acts: []Act{sawOutcome(KindSymptom, "smokes", No), sawOutcome(KindCheck, "draft", "low"), reading("draft"), {Tried: "replace-nozzle"}, power},
			Closing: &Closing{Causes: []string{"nozzle-worn", Unlisted}, Fixes: []string{"replace-nozzle"}, Used: map[string]float64{"nozzle": 1}}}, nil, []int{0, 1, 2, 3, 4}},
		"ids": {Job{Family: "oil", Acts: []Act{sawOutcome(KindSymptom, "draft", Yes), sawOutcome(KindCheck, "smokes", "ok"), {Tried: "kick"}, power, {State: map[string]string{"door": "open"}}}},
			[]Missing{{Kind: KindSymptom, ID: "draft"}, {Kind: KindCheck, ID: "smokes"}, {Kind: KindFix, ID: "kick"}, {Kind: KindState, ID: "door"}}, []int{3}},
		"once each":   {Job{Family: "oil", Acts: []Act{{Tried: "kick"}, power, {Tried: "kick"}, power}, Past: []Closing{{Fixes: []string{"kick"}}}}, []Missing{{Kind: KindFix, ID: "kick"}}, []int{1, 3}},
		"outcomes":    {Job{Family: "oil", Acts: []Act{sawOutcome(KindCheck, "draft", "none"), unsure, sawOutcome(KindCheck, "look", "bad")}}, []Missing{{Kind: KindOutcome, ID: "none", Of: "draft"}, {Kind: KindOutcome, ID: "worse", Of: "look"}, {Kind: KindOutcome, ID: "worst", Of: "look"}}, []int{2}},
		"no reading":  {Job{Family: "oil", Acts: []Act{reading("look"), reading("draft")}}, []Missing{{Kind: KindReading, ID: "look"}}, []int{1}},
		"a value":     {Job{Family: "oil", Acts: []Act{{State: map[string]string{"power": "half"}}}}, []Missing{{Kind: KindValue, ID: "half", Of: "power"}}, nil},
		"the closing": {Job{Family: "oil", Closing: &Closing{Causes: []string{"gone"}, Fixes: []string{"kick"}, Used: map[string]float64{"tape": 2}}}, []Missing{{Kind: KindCause, ID: "gone"}, {Kind: KindFix, ID: "kick"}, {Kind: KindPart, ID: "tape"}}, nil},
		"past ones":   {Job{Family: "oil", Past: []Closing{{Causes: []string{"gone"}}, {Causes: []string{"gone", "lost"}}}}, []Missing{{Kind: KindCause, ID: "gone"}, {Kind: KindCause, ID: "lost"}}, nil},
		"of another family": {Job{Family: "gas", Acts: []Act{sawOutcome(KindSymptom, "smokes", Yes), sawOutcome(KindCheck, "draft", "low"), sawOutcome(KindCheck, "look", "bad"), {Tried: "replace-nozzle"}}, Closing: &Closing{Causes: []string{"nozzle-worn"}}},
			[]Missing{{Kind: KindSymptom, ID: "smokes", Family: "gas"}, {Kind: KindCheck, ID: "draft", Family: "gas"}, {Kind: KindFix, ID: "replace-nozzle", Family: "gas"}, {Kind: KindCause, ID: "nozzle-worn", Family: "gas"}}, []int{2}},
	} {
		t.Run(name, func(t *testing.T) {
			if d := cmp.Diff(c.want, b.Missing(&c.job)); d != "" {
				t.Error("missing (-want +got):\n", d)
			}
			var want []Act
			for _, i := range c.acts {
				want = append(want, c.job.Acts[i])
			}
			before := written(t, &c.job)
			acts, left := b.KnownActs(&c.job)
			if len(acts)+len(want) > 0 && !cmp.Equal(want, acts) {
				t.Error("known acts (-want +got):\n", cmp.Diff(want, acts))
			}
			if len(want) == len(c.job.Acts) && len(left) > 0 || len(want) < len(c.job.Acts) && len(left) == 0 {
				t.Errorf("left out: %v", left)
			}
			if after := written(t, &c.job); after != before {
				t.Errorf("the job changed to %s", after)
			}
		})
	}
}

// TestMissingWithoutFamily: what a job of a family that is gone names is held
// against the whole base.
func TestMissingWithoutFamily(t *testing.T) {
	b, _ := loadText(twoFamilies)
	j := &Job{Family: "wood", Acts: []Act{sawOutcome(KindSymptom, "smokes", Yes), sawOutcome(KindCheck, "ash", "full")}, Closing: &Closing{Causes: []string{"valve-stuck", "chimney"}}}
	want := []Missing{{Kind: KindFamily, ID: "wood"}, {Kind: KindCheck, ID: "ash"}, {Kind: KindCause, ID: "chimney"}}
	if d := cmp.Diff(want, b.Missing(j)); d != "" {
		t.Error("missing (-want +got):\n", d)
	}
}

// TestStateKnownInPart keeps of a state what the base still has.
func TestStateKnownInPart(t *testing.T) {
	b, _ := loadText(twoFamilies)
	j := &Job{Family: "oil", Acts: []Act{{State: map[string]string{"power": "off", "door": "open"}}}}
	acts, left := b.KnownActs(j)
	if d := cmp.Diff([]Act{{State: map[string]string{"power": "off"}}}, acts); d != "" {
		t.Error("acts (-want +got):\n", d)
	}
	if d := cmp.Diff([]Missing{{Kind: KindState, ID: "door"}}, left); d != "" {
		t.Error("left (-want +got):\n", d)
	}
}

// TestKnownActsAreModelled: of what KnownActs keeps the model has every
// observable, outcome and fix, and of what it leaves out something is not there.
func TestKnownActsAreModelled(t *testing.T) {
	b := renamedBase(t)
	m, err := NewModel(b, "oil-heater")
	if err != nil {
		t.Fatal(err)
	}
	modelled := func(a *Act) bool {
		switch {
		case a.Finding != nil:
			o := m.ObservableIndex(a.Finding.Kind, a.Finding.ID)
			if o < 0 {
				return false
			}
			_, err := m.Observables[o].Weights(a.Finding)
			return err == nil
		case a.Tried != "":
			return m.FixIndex(a.Tried) >= 0
		}
		_, lacks := a.State["nobodys"]
		return !lacks
	}
	rapid.Check(t, func(t *rapid.T) {
		j := drawNamed(t, b)
		j.Family = "oil-heater"
		j, _ = b.Renamed(j)
		var want []Act
		for i := range j.Acts {
			if modelled(&j.Acts[i]) {
				want = append(want, j.Acts[i])
			}
		}
		acts, _ := b.KnownActs(j)
		if len(acts)+len(want) > 0 && !cmp.Equal(want, acts) {
			t.Fatalf("known acts (-modelled +got):\n%s", cmp.Diff(want, acts))
		}
	})
}
