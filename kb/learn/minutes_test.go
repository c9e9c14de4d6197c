package learn

import (
	"math"
	"math/rand/v2"
	"testing"

	"sootsayer/kb"
)

// timedBase is the kiln with minutes: the eye's fix takes 10 and is proved by
// the ohms, which take 4.
func timedBase() *kb.Base {
	b := kilnBase()
	b.Checks[0].Minutes = 4
	for i := range b.Fixes {
		b.Fixes[i].Minutes = 20
	}
	b.Fixes[2].Minutes, b.Fixes[2].Proof = 10, "ohms" // wipe-eye
	return b
}

func lastedActs(minutes float64, acts ...kb.Act) []kb.Act {
	for i := range acts {
		if acts[i].Finding != nil {
			acts[i].Finding.Minutes = minutes
		} else {
			acts[i].Minutes = minutes
		}
	}
	return acts
}

// TestMinutesCounted: which stated minutes count, and to what.
func TestMinutesCounted(t *testing.T) {
	smoke, ohms := saw(kb.KindSymptom, "smoke", kb.Yes), saw(kb.KindCheck, "ohms", "ok")
	closed := func(minutes float64, causes []string, fixes ...string) *kb.Job {
		j := job(causes)
		j.Closing.FixMinutes, j.Closing.Fixes = minutes, fixes
		return j
	}
	again := closed(5, []string{"eye"})
	again.Past = []kb.Closing{{At: at(1), Causes: []string{"wire"}, FixMinutes: 7}}
	doubtful := closed(5, []string{"eye"})
	doubtful.Closing.Confidence = 0.1
	tests := []struct {
		name string
		job  *kb.Job
		want map[string]int // durations, by check, symptom or fix
	}{
		{"check and symptom", job([]string{"eye"}, lastedActs(3, smoke, ohms)...), map[string]int{"symptom/smoke": 1, "check/ohms": 1}},
		{"done again", job([]string{"eye"}, lastedActs(3, ohms, ohms)...), map[string]int{"check/ohms": 2}},
		{"whatever the cause", job([]string{kb.Unlisted}, lastedActs(3, ohms)...), map[string]int{"check/ohms": 1}},
		{"of a cause that is gone", job([]string{"gone"}, lastedActs(3, ohms)...), map[string]int{"check/ohms": 1}},
		{"a check that is gone", job([]string{"eye"}, lastedActs(3, saw(kb.KindCheck, "volts", "ok"))...), nil},
		{"tried", job([]string{"eye"}, lastedActs(3, tried("new-nozzle"))...), map[string]int{"new-nozzle": 1}},
		{"at the closing", closed(5, []string{"eye"}), map[string]int{"wipe-eye": 1}},
		{"at the closing, fix stated", closed(5, []string{"eye"}, "new-nozzle"), map[string]int{"new-nozzle": 1}},
		{"two fixes at the closing", closed(5, []string{"eye", "wire"}), nil},
		{"one fix of two causes", closed(5, []string{"spare", "wire"}), map[string]int{"mend-wire": 1}},
		{"at an earlier closing too", again, map[string]int{"mend-wire": 1, "wipe-eye": 1}},
		{"doubtful", doubtful, map[string]int{"wipe-eye": 1}},
		{"less than a second", closed(0.001, []string{"eye"}), nil},
		{"more than a week", closed(20000, []string{"eye"}), nil},
		{"not a number", closed(math.NaN(), []string{"eye"}), nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(timedBase())
			c.Add(tt.job)
			got := map[string]int{}
			for key, m := range c.Minutes {
				got[key] = m.Jobs
			}
			for id, f := range c.Fixes {
				if m := f.Minutes; m.Jobs > 0 {
					got[id] = m.Jobs
					if math.Abs(m.Weight-float64(m.Jobs)) > 1e-15 {
						t.Errorf("%s weighs %v", id, m.Weight)
					}
				}
			}
			if diff := diffNear(tt.want, got, 0); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestNoMinutesStated leaves the authored ones to the last bit.
func TestNoMinutesStated(t *testing.T) {
	b := timedBase()
	for _, minutes := range []float64{0.1, 3, 7.3, 1e6} {
		b.Checks[0].Minutes, b.Fixes[1].Minutes = minutes, minutes
		c := count(b, []*kb.Job{job([]string{"eye"}, read(3))})
		m, err := c.Model(b, kiln, "", epoch)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.Observables[1].Minutes; got != minutes {
			t.Errorf("check takes %v, want %v", got, minutes)
		}
		if got := m.Fixes[m.FixIndex("new-nozzle")].Minutes; got != minutes {
			t.Errorf("fix takes %v, want %v", got, minutes)
		}
	}
}

// TestMinutesOfFixAndProof: what was stated of a fix holds its proof; what was
// learned of the proof alone moves only the proof.
func TestMinutesOfFixAndProof(t *testing.T) {
	b := timedBase()
	tests := []struct {
		name                string
		proofs, totals      int
		proofTook, allTook  float64
		proofLess, fixLess  float64 // bounds of what is learned
		proofAbove, fixMore float64
	}{
		{"proof takes longer", 1000, 0, 8, 0, 8.1, 10, 7.9, 10},
		{"fix takes longer", 0, 1000, 0, 40, 4, 36.2, 4, 35.8},
		{"both", 1000, 1000, 8, 40, 8.1, 32.3, 7.9, 31.7},
		{"all together takes less than the proof", 1000, 1000, 8, 5, 8.1, leastMinutes, 7.9, leastMinutes},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(b)
			for range tt.proofs {
				c.Add(job([]string{"wire"}, lastedActs(tt.proofTook, saw(kb.KindCheck, "ohms", "ok"))...))
			}
			for range tt.totals {
				j := job([]string{"eye"})
				j.Closing.FixMinutes = tt.allTook
				c.Add(j)
			}
			m, _ := c.Model(b, kiln, "", epoch)
			f := m.Fixes[m.FixIndex("wipe-eye")]
			if p := m.Observables[1].Minutes; p < tt.proofAbove || p > tt.proofLess {
				t.Errorf("proof takes %v, want %v to %v", p, tt.proofAbove, tt.proofLess)
			}
			if f.Minutes < tt.fixMore || f.Minutes > tt.fixLess {
				t.Errorf("fix takes %v, want %v to %v", f.Minutes, tt.fixMore, tt.fixLess)
			}
		})
	}
}

// TestHiddenMinutes: from an authored 5 minutes the mean of a log-normal time is
// found, 12 minutes with a spread of three quarters; the learned one comes nearer
// with the jobs. The bounds are 4 standard errors of the mean.
func TestHiddenMinutes(t *testing.T) {
	const mean, cv = 12.0, 0.75
	s2 := math.Log1p(cv * cv)
	rng := rand.New(rand.NewPCG(3, 9))
	b := kilnBase()
	b.Checks[0].Minutes = 5
	c := New(b)
	for n := 1; n <= 5000; n++ {
		minutes := math.Exp(math.Log(mean) - s2/2 + math.Sqrt(s2)*rng.NormFloat64())
		c.Add(job([]string{"eye"}, lastedActs(minutes, saw(kb.KindCheck, "ohms", "ok"))...))
		if n != 50 && n != 500 && n != 5000 {
			continue
		}
		m, _ := c.Model(b, kiln, "", epoch)
		// The prior's five jobs pull by at most their part of the way.
		bound := 4*mean*cv/math.Sqrt(float64(n)) + (mean-5)*5/float64(n+5)
		if got := m.Observables[1].Minutes; !(math.Abs(got-mean) <= bound) {
			t.Errorf("after %d jobs %v minutes, want %v within %v", n, got, mean, bound)
		}
	}
}
