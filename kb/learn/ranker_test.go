package learn_test

import (
	"math"
	"testing"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

// workBase is an invented base in which everything that closed jobs can move
// shows in a ranking: dirt leads to a clogged screen.
func workBase() *kb.Base {
	share := map[string]float64{"kiln": 1}
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: "kiln"}},
		Causes: []kb.Cause{{ID: "dirt", Share: share, Fix: "clean", LeadsTo: map[string]float64{"screen": 0.2}}, {ID: "screen", Share: share, Fix: "replace"}},
		Fixes:  []kb.Fix{{ID: "clean", Minutes: 20, Cures: 0.9, Proof: "test"}, {ID: "replace", Minutes: 10, Cures: 0.9, Proof: "test"}},
		Checks: []kb.Check{
			{ID: "look", Families: []string{"kiln"}, Minutes: 5, Outcomes: []kb.Outcome{{ID: "ok"}, {ID: "bad"}},
				Normally: kb.Table{{Outcome: "ok", P: 0.9}, {Outcome: "bad", P: 0.1}},
				If:       kb.Rows{{Cause: "screen", Table: kb.Table{{Outcome: "bad", P: 0.8}}}}},
			{ID: "test", Families: []string{"kiln"}, Minutes: 6, Outcomes: []kb.Outcome{{ID: "ok"}, {ID: "bad"}},
				Normally: kb.Table{{Outcome: "ok", P: 0.5}, {Outcome: "bad", P: 0.5}}}}}
	b.Settings.HalfLifeYears, b.Settings.SecondFault = 0, 0
	b.Reindex()
	return b
}

var day = time.Date(2026, time.May, 4, 0, 0, 0, 0, time.UTC)

// believe ranks with what was learned.
func believe(t *testing.T, c *learn.Counts, b *kb.Base, acts ...kb.Act) *ranker.Belief {
	t.Helper()
	m, err := c.Model(b, "kiln", "", day)
	if err != nil {
		t.Fatal(err)
	}
	belief, err := ranker.New(m).Believe(acts)
	if err != nil {
		t.Fatal(err)
	}
	return belief
}

// TestRankerUsesWhatWasLearned: minutes and effects moved by closed jobs show in
// what the ranker says.
func TestRankerUsesWhatWasLearned(t *testing.T) {
	b := workBase()
	c := learn.New(b)
	for range 2000 {
		c.Add(&kb.Job{Family: "kiln", Acts: []kb.Act{{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "look", Outcome: "ok", Minutes: 15}}},
			Closing: &kb.Closing{At: day, Causes: []string{"dirt", "screen"}, Fixes: []string{"clean"}, FixMinutes: 50, Confidence: 1}})
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= 0.02*want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	belief := believe(t, c, b)
	near("chance that dirt brought the screen along", belief.Probability(1), belief.Probability(0))
	ranking := belief.Rank(ranker.Options{})
	seen := 0
	for _, check := range ranking.Checks {
		if check.ID == "look" {
			near("minutes of the check", check.Minutes, 15)
			seen++
		}
	}
	for _, fix := range ranking.Fixes {
		if fix.ID == "clean" {
			near("minutes of the fix with its proof", fix.Minutes, 50)
			seen++
		}
	}
	if seen != 2 {
		t.Errorf("%+v", ranking)
	}
}

// TestRankerUsesCures: a fix that did not hold is hardly surprising once it never
// holds.
func TestRankerUsesCures(t *testing.T) {
	b := workBase()
	c := learn.New(b)
	tried := kb.Act{Tried: "replace"}
	if bits := -believe(t, c, b, tried).LogEvidence(); bits < 0.5 {
		t.Errorf("%v bits as authored", bits)
	}
	for range 2000 {
		c.AddCameBack(&kb.Job{Family: "kiln", Closing: &kb.Closing{At: day, Causes: []string{"screen"}, Confidence: 1}}, nil)
	}
	if bits := -believe(t, c, b, tried).LogEvidence(); !(bits >= 0 && bits < 0.02) {
		t.Errorf("%v bits as learned", bits)
	}
}
