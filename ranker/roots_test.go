package ranker

import (
	"testing"

	"pgregory.net/rapid"
)

// TestRootChances compares what started the trouble with brute force over all
// hypotheses: it is a distribution over the causes and the unlisted one.
func TestRootChances(t *testing.T) {
	againstOracle(t, func(t *rapid.T, e *Engine, belief *Belief, o *oracle) {
		want := make(map[string]float64)
		for _, h := range o.hyps {
			for _, r := range h.roots {
				want[r] += h.weight / float64(len(h.roots))
			}
		}
		causes, unlisted := belief.RootChances()
		sum := unlisted
		for c, p := range causes {
			sum += p
			if id := e.model.Causes[c].ID; !near(p, want[id], 1e-9) {
				t.Fatalf("root %s: %v, brute force %v", id, p, want[id])
			}
		}
		if !near(unlisted, o.hyps[0].weight, 1e-9) || !near(sum, 1, 1e-9) {
			t.Fatalf("unlisted %v, brute force %v; all together %v", unlisted, o.hyps[0].weight, sum)
		}
	})
}
