package ranker

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestFixSets compares what has to be done with brute force over all
// hypotheses.
func TestFixSets(t *testing.T) {
	againstOracle(t, func(t *rapid.T, e *Engine, belief *Belief, o *oracle) {
		want := make(map[string]float64)
		for _, h := range o.hyps {
			_, fixes := o.need(h)
			want[joined(slices.Collect(maps.Keys(fixes)))] += h.weight
		}
		var sum float64
		got := make(map[string]bool)
		for _, set := range belief.FixSets() {
			var ids []string
			for _, f := range set.Fixes {
				ids = append(ids, e.model.Fixes[f].ID)
			}
			key := joined(ids)
			if got[key] {
				t.Fatalf("fixes %s are listed twice", key)
			}
			got[key] = true
			if sum += set.Probability; !near(set.Probability, want[key], 1e-9) {
				t.Fatalf("fixes %s: %v, brute force %v", key, set.Probability, want[key])
			}
		}
		if !near(sum, 1, 1e-9) {
			t.Fatalf("all together %v", sum)
		}
	})
}

func joined(ids []string) string {
	slices.Sort(ids)
	return strings.Join(ids, " ")
}
