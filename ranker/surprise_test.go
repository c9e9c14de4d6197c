package ranker

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// conflictBase: one clear cause a, three checks that show it, a rare cause b.
func conflictBase() *kb.Base {
	b := plainBase()
	b.Settings.Unlisted, b.Settings.Floor = 0.02, 1e-4
	addCause(b, "a", 50, "fix-a", 10)
	addCause(b, "b", 50, "fix-b", 10)
	for _, id := range []string{"one", "two", "three"} {
		addCheck(b, id, 2, map[string][]float64{"a": {0.02, 0.98}, "b": {0.98, 0.02}})
	}
	return b
}

func TestSuspect(t *testing.T) {
	tests := []struct {
		name string
		acts []kb.Act
		want string
	}{
		{"nothing", nil, ""},
		{"one finding cannot conflict", []kb.Act{found("one", 1)}, ""},
		{"findings agree", []kb.Act{found("one", 1), found("two", 1), found("three", 1)}, ""},
		{"the odd one out", []kb.Act{found("one", 1), found("two", 0), found("three", 1)}, "two"},
		{"the order does not matter", []kb.Act{found("two", 0), found("three", 1), found("one", 1)}, "two"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, r := rankOf(t, conflictBase(), tt.acts...)
			got := ""
			if r.Suspect != nil {
				got = r.Suspect.ID
			}
			if got != tt.want {
				t.Errorf("suspect %q at %.2f bits, want %q", got, r.SurpriseBits, tt.want)
			}
		})
	}
}

// TestGains: leaving a finding out by division is weighing the others anew.
func TestGains(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		e := compile(t, b, testFamily)
		belief, err := e.Believe(acts(drawSteps(t, b)))
		if err != nil {
			return
		}
		for i, g := range belief.gains() {
			if belief.steps[i].obs < 0 {
				continue
			}
			want := e.logEvidence(leftOut(belief.steps, i)) - belief.LogEvidence()
			if !near(g.without, want, 1e-6) && !math.IsInf(want, 0) {
				t.Fatalf("step %d: %v by division, %v anew", i, g.without, want)
			}
			if alone := e.logEvidence(belief.steps[i : i+1 : i+1]); !near(math.Log2(g.alone), alone, 1e-9) {
				t.Fatalf("step %d: alone %v, anew %v", i, math.Log2(g.alone), alone)
			}
		}
	})
}

// TestSurpriseByHand: -log2 P(evidence) less the entropies expected, for two
// findings worked out by hand.
func TestSurpriseByHand(t *testing.T) {
	b := conflictBase()
	b.Settings.Unlisted, b.Settings.Floor = 0, 0
	belief, _ := rankOf(t, b, found("one", 1), found("two", 0))
	h := func(p float64) float64 { return -p*math.Log2(p) - (1-p)*math.Log2(1-p) }
	second := 0.98*0.02 + 0.02*0.98 // chance of "two" normal once "one" spoke for a
	want := -math.Log2(0.5) - math.Log2(second) - h(0.5) - h(second)
	close(t, "surprise", belief.SurpriseBits(), want, 1e-12)
}

// TestWhyAddsUp: the weights of evidence add up to the change in log-odds
// (Good 1950).
func TestWhyAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		belief, err := compile(t, b, testFamily).Believe(acts(drawSteps(t, b)))
		if err != nil {
			return
		}
		cause := b.Causes[0].ID
		prior, supports, err := belief.Why(cause)
		if err != nil {
			t.Fatal(err)
		}
		sum := prior
		for _, s := range supports {
			sum += s.Bits
		}
		o := 0.0
		for h, w := range belief.weight {
			for _, c := range belief.engine.hyp.causes[h] {
				if c == 0 {
					o += w
				}
			}
		}
		want := math.Log2(o) - math.Log2(1-o)
		if math.IsInf(want, 0) || math.IsNaN(want) || math.Abs(want) > 40 || math.IsNaN(sum) || math.IsInf(sum, 0) {
			return // certain, or certain but for rounding
		}
		if math.Abs(sum-want) > 1e-6 {
			t.Fatalf("weights add up to %v, log-odds are %v", sum, want)
		}
	})
	if _, _, err := compile(t, conflictBase(), testFamily).mustBelieve(t).Why("nothing"); err == nil {
		t.Error("an unknown cause is explained")
	}
}

func (e *Engine) mustBelieve(t *testing.T) *Belief {
	t.Helper()
	b, err := e.Believe(nil)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
