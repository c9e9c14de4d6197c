package ranker

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

func compile(t interface{ Fatal(...any) }, b *kb.Base, family string) *Engine {
	m, err := kb.NewModel(b, family)
	if err != nil {
		t.Fatal(err)
	}
	return New(m)
}

func near(a, b, tol float64) bool {
	return math.Abs(a-b) <= tol*math.Max(1, math.Abs(b)) || math.IsNaN(a) && math.IsNaN(b)
}

// TestEngineAgainstOracle compares everything the engine answers with brute
// force over all hypotheses, to 1e-9.
func TestEngineAgainstOracle(t *testing.T) {
	againstOracle(t, func(t *rapid.T, e *Engine, belief *Belief, o *oracle) {
		r := belief.Rank(Options{})
		for _, c := range r.Causes {
			p, root := o.probability(c.ID)
			if !near(c.Probability, p, 1e-9) || !near(c.RootProbability, root, 1e-9) {
				t.Fatalf("cause %s: probability %v root %v, brute force %v %v", c.ID, c.Probability, c.RootProbability, p, root)
			}
		}
		if !near(r.Unlisted, o.hyps[0].weight, 1e-9) {
			t.Fatalf("unlisted %v, brute force %v", r.Unlisted, o.hyps[0].weight)
		}
		var bestRate float64
		var best *CheckRank
		for i := range r.Checks {
			c := &r.Checks[i]
			x := o.observable(c.Kind, c.ID)
			if want := o.bits(x); !near(c.Bits, want, 1e-9) {
				t.Fatalf("%s: bits %v, brute force %v", c.ID, c.Bits, want)
			}
			if want := o.saved(x); !near(*c.MinutesSaved, want, 1e-9) {
				t.Fatalf("%s: saved %v, brute force %v", c.ID, *c.MinutesSaved, want)
			}
			change, _ := o.change(o.stand, x.state)
			if !near(c.StateMinutes, change, 1e-12) {
				t.Fatalf("%s: state minutes %v, want %v", c.ID, c.StateMinutes, change)
			}
			if *c.MinutesSaved > leastSaving && (best == nil || c.BitsPerMinute > bestRate) {
				best, bestRate = c, c.BitsPerMinute
			}
		}
		switch {
		case best != nil && (r.Advice.Do != DoCheck || r.Advice.ID != best.ID):
			t.Fatalf("advice %+v, want check %s", r.Advice, best.ID)
		case best == nil && r.Advice.Do == DoCheck:
			t.Fatalf("advice %+v though no check saves minutes", r.Advice)
		}
		now := make([]float64, len(o.hyps))
		for i, h := range o.hyps {
			now[i] = h.weight
		}
		want := o.cureMinutes(now, o.stand)
		if best != nil {
			want -= *best.MinutesSaved
		}
		if !near(r.Advice.ExpectedMinutes, want, 1e-9) {
			t.Fatalf("expected minutes %v, brute force %v", r.Advice.ExpectedMinutes, want)
		}
		checkThen(t, r, o)
	})
}

// checkThen compares what each outcome would make likely.
func checkThen(t *rapid.T, r Ranking, o *oracle) {
	for _, c := range r.Checks {
		x := o.observable(c.Kind, c.ID)
		for j, out := range c.Outcomes {
			var p float64
			given := map[string]float64{}
			for _, h := range o.hyps {
				w := h.weight * o.table(x, h)[j]
				p += w
				for _, cause := range h.now {
					given[cause] += w
				}
			}
			if !near(out.Probability, p, 1e-9) {
				t.Fatalf("%s=%s: probability %v, brute force %v", c.ID, out.ID, out.Probability, p)
			}
			for _, then := range out.Then {
				if math.Abs(then.Probability-given[then.Cause]/p) > 1e-7 { // p may be as small as the floor
					t.Fatalf("%s=%s: then %s %v, brute force %v", c.ID, out.ID, then.Cause, then.Probability, given[then.Cause]/p)
				}
			}
		}
	}
}

// TestLaws checks what must hold of every answer.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		e := compile(t, b, testFamily)
		belief, err := e.Believe(acts(drawSteps(t, b)))
		if err != nil {
			return
		}
		var sum float64
		for _, p := range belief.post {
			sum += p
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("hypotheses sum to %v", sum)
		}
		for _, c := range belief.Rank(Options{}).Checks {
			var p float64
			for _, o := range c.Outcomes {
				p += o.Probability
			}
			if math.Abs(p-1) > 1e-9 {
				t.Fatalf("%s: outcomes sum to %v", c.ID, p)
			}
			if c.Bits < 0 || c.Bits > math.Log2(float64(len(e.groups.fixes)))+1e-12 || c.Bits > math.Log2(float64(len(c.Outcomes)))+1e-12 {
				t.Fatalf("%s: %v bits", c.ID, c.Bits)
			}
		}
	})
}

// TestOrderOfFindings: findings without tried fixes may come in any order.
func TestOrderOfFindings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		e := compile(t, b, testFamily)
		var findings []kb.Act
		seen := map[string]bool{}
		for _, a := range acts(drawSteps(t, b)) {
			if a.Finding != nil && !seen[a.Finding.Kind+a.Finding.ID] {
				seen[a.Finding.Kind+a.Finding.ID] = true
				findings = append(findings, a)
			}
		}
		one, err1 := e.Believe(findings)
		two, err2 := e.Believe(rapid.Permutation(findings).Draw(t, "order"))
		if (err1 == nil) != (err2 == nil) {
			t.Fatalf("one order fails: %v, %v", err1, err2)
		}
		if err1 != nil {
			return
		}
		if !near(one.LogEvidence(), two.LogEvidence(), 1e-9) {
			t.Fatalf("evidence %v and %v", one.LogEvidence(), two.LogEvidence())
		}
		for s := range one.post {
			if math.Abs(one.post[s]-two.post[s]) > 1e-9 {
				t.Fatalf("set %d: %v and %v", s, one.post[s], two.post[s])
			}
		}
	})
}

// TestZeroShareCausesChangeNothing adds causes nobody has seen.
func TestZeroShareCausesChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		steps := acts(drawSteps(t, b))
		one, err := compile(t, b, testFamily).Believe(steps)
		if err != nil {
			return
		}
		more := *b
		more.Causes = append(append([]kb.Cause{}, b.Causes...),
			kb.Cause{ID: "never-1", Share: map[string]float64{testFamily: 0}, Fix: b.Causes[0].Fix},
			kb.Cause{ID: "never-2", Share: map[string]float64{testFamily: 0}, Fix: "f-never"})
		more.Fixes = append(append([]kb.Fix{}, b.Fixes...), kb.Fix{ID: "f-never", Minutes: 5, Cures: 0.9})
		more.Reindex()
		two, err := compile(t, &more, testFamily).Believe(steps)
		if err != nil {
			t.Fatal(err)
		}
		r1, r2 := one.Rank(Options{}), two.Rank(Options{})
		if !near(r1.SurpriseBits, r2.SurpriseBits, 1e-9) || r1.Advice.Do != r2.Advice.Do || !near(r1.Advice.ExpectedMinutes, r2.Advice.ExpectedMinutes, 1e-9) {
			t.Fatalf("advice %+v became %+v", r1.Advice, r2.Advice)
		}
		for _, c := range r1.Checks { // by id: rates that tie but for rounding may stand either way
			i := slices.IndexFunc(r2.Checks, func(d CheckRank) bool { return d.Kind == c.Kind && d.ID == c.ID })
			if d := r2.Checks[i]; !near(c.Bits, d.Bits, 1e-9) || !near(*c.MinutesSaved, *d.MinutesSaved, 1e-9) {
				t.Fatalf("check %+v became %+v", c, d)
			}
		}
		for _, c := range b.Causes {
			p, q := one.Probability(one.engine.model.CauseIndex(c.ID)), two.Probability(two.engine.model.CauseIndex(c.ID))
			if !near(p, q, 1e-9) {
				t.Fatalf("%s: %v became %v", c.ID, p, q)
			}
		}
	})
}
