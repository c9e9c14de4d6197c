package learn

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestChanges: what moved besides shares and tables, with the jobs behind it.
func TestChanges(t *testing.T) {
	b := timedBase()
	parts := partsBase()
	b.Parts, b.Fixes[2].Parts = parts.Parts, parts.Fixes[2].Parts
	b.Reindex()
	c := New(b)
	for range 4 {
		j := job([]string{"nozzle", "eye"}, lastedActs(8, saw(kb.KindCheck, "ohms", "high"))...)
		j.Closing.Fixes, j.Closing.FixMinutes, j.Closing.Used = []string{"wipe-eye"}, 30, map[string]float64{"glass": 1}
		c.Add(j)
	}
	got := c.Changes(b, kiln, epoch)
	type line struct {
		kind, id string
		start    float64
		jobs     int
	}
	want := []line{{ChangeEffect, "nozzle>eye", 0.15, 4}, {ChangeCure, "wipe-eye", 0, 4}, {ChangeMinutes, "check/ohms", 4, 4},
		{ChangeMinutes, "fix/wipe-eye", 14, 4}, {ChangePart, "wipe-eye/glass", 0.3, 4}}
	var lines []line
	for _, ch := range got {
		lines = append(lines, line{ch.Kind, ch.ID, ch.Start, ch.Jobs})
		if !(ch.Low < ch.Now && ch.Now < ch.High && ch.Now > ch.Start) || ch.Weighted != 4 {
			t.Errorf("%+v", ch)
		}
	}
	if !slices.Equal(lines, want) {
		t.Errorf("got  %v\nwant %v", lines, want)
	}
	if c.Changes(b, "kilm", epoch) != nil {
		t.Error("changes in a family that nobody knows")
	}
	if list := New(b).Changes(b, kiln, epoch); len(list) > 0 {
		t.Errorf("changes without a job: %v", list)
	}
}

// TestChangesAgreeWithModel: the list shows the model's numbers.
func TestChangesAgreeWithModel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		c := countVisits(b, drawVisits(t, b, 20))
		m, _ := c.Model(b, kiln, "", now)
		has := map[string]float64{}
		for _, mc := range m.Causes {
			for _, e := range mc.Effects {
				has[ChangeEffect+mc.ID+">"+m.Causes[e.Cause].ID] = e.P
			}
		}
		for _, o := range m.Observables {
			has[ChangeMinutes+o.Kind+"/"+o.ID] = o.Minutes
		}
		for _, f := range m.Fixes {
			has[ChangeCure+f.ID] = f.Cures
			has[ChangeMinutes+"fix/"+f.ID] = f.Minutes
			if f.Proof >= 0 {
				has[ChangeMinutes+"fix/"+f.ID] += m.Observables[f.Proof].Minutes
			}
			for _, use := range f.Parts {
				has[ChangePart+f.ID+"/"+use.Part] = use.Chance
			}
		}
		for _, ch := range c.Changes(b, kiln, now) {
			want, ok := has[ch.Kind+ch.ID]
			longer := ch.Kind == ChangeMinutes && want > ch.Now // a fix takes no less than its bound beside the proof
			if diff := diffNear(want, ch.Now, 1e-9); !ok || diff != "" && !longer {
				t.Fatalf("%+v, but the model has %v", ch, want)
			}
		}
	})
}
