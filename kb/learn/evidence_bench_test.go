package learn

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"sootsayer/kb"
)

// modelsBase is an invented family of 60 causes, and its counts of 10 models
// with 100 jobs each whose shares differ.
func modelsBase() (*kb.Base, *Counts) {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: kiln}}, Fixes: []kb.Fix{{ID: "fix", Minutes: 10, Cures: 0.9}}}
	start := make([]float64, 60)
	for i := range start {
		start[i] = float64(i%7 + 1)
		b.Causes = append(b.Causes, kb.Cause{ID: fmt.Sprintf("cause-%d", i), Share: map[string]float64{kiln: start[i]}, Fix: "fix"})
	}
	b.Reindex()
	rng := rand.New(rand.NewPCG(3, 3))
	c := New(b)
	for model := range 10 {
		share := make([]float64, len(start))
		for i, w := range start {
			share[i] = gamma(rng, 1+w/4) // a Dirichlet, as gammas over their sum
		}
		all := addUp(share)
		for n := range 100 {
			u, i := rng.Float64()*all, 0
			for ; i < len(share)-1 && u > share[i]; i++ {
				u -= share[i]
			}
			j := job([]string{b.Causes[i].ID})
			j.Model = fmt.Sprintf("model-%d", model)
			j.Closing.At = now.AddDate(0, -n, 0)
			c.Add(j)
		}
	}
	return b, c
}

// BenchmarkFitKappa10Models60Causes is what pooling by model adds to a family's
// model.
func BenchmarkFitKappa10Models60Causes(b *testing.B) {
	base, c := modelsBase()
	m, err := kb.NewModel(base, kiln)
	if err != nil {
		b.Fatal(err)
	}
	f := c.Families[kiln]
	b.ReportAllocs()
	for b.Loop() {
		f.kappa(m, base.Settings.Strength)
	}
}

// BenchmarkFitDirichlet10Groups60Categories fits all alphas instead.
func BenchmarkFitDirichlet10Groups60Categories(b *testing.B) {
	base, c := modelsBase()
	m, err := kb.NewModel(base, kiln)
	if err != nil {
		b.Fatal(err)
	}
	var groups [][]float64
	for _, roots := range c.Families[kiln].Models {
		groups = append(groups, rootJobs(m, roots))
	}
	b.ReportAllocs()
	for b.Loop() {
		FitDirichlet(groups, 30)
	}
}

// BenchmarkPriors60CausesWithDrift lists a family's shares with their intervals
// and drift.
func BenchmarkPriors60CausesWithDrift(b *testing.B) {
	base, c := modelsBase()
	for b.Loop() {
		if c.Priors(base, kiln, "model-3", now) == nil {
			b.Fatal("no priors")
		}
	}
}
