package ranker

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestRelearn: an engine that was moved to other numbers answers as one made
// anew for them, and the engine it was made from answers as before. Chances of
// 0 and 1 are among the numbers, which change the sets of causes there are.
func TestRelearn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		steps := drawSteps(t, b)
		m, err := kb.NewModel(b, b.Families[0].ID)
		if err != nil {
			t.Fatal(err)
		}
		moved, err := kb.NewModel(b, b.Families[0].ID)
		if err != nil {
			t.Fatal(err)
		}
		moveModel(t, moved)
		old := New(m)
		before := answer(t, old, steps)
		close := cmpopts.EquateApprox(1e-12, 1e-12)
		if diff := cmp.Diff(answer(t, New(moved), steps), answer(t, old.Relearn(moved), steps), close, cmpopts.IgnoreUnexported(CheckRank{})); diff != "" {
			t.Fatalf("relearned differs from new (-new +relearned):\n%s", diff)
		}
		if diff := cmp.Diff(before, answer(t, old, steps), cmpopts.IgnoreUnexported(CheckRank{})); diff != "" {
			t.Fatalf("the old engine changed:\n%s", diff)
		}
	})
}

func answer(t *rapid.T, e *Engine, steps []oracleStep) Ranking {
	b, err := e.Believe(acts(steps))
	if err != nil {
		t.Skip("evidence that cannot be")
	}
	return b.Rank(Options{})
}

// moveModel gives some shares, chances, minutes and rows other values.
func moveModel(t *rapid.T, m *kb.Model) {
	chance := rapid.OneOf(rapid.Float64Range(0.01, 0.99), rapid.SampledFrom([]float64{0, 1}))
	m.Unlisted = rapid.Float64Range(0, 0.5).Draw(t, "unlisted")
	if rapid.Bool().Draw(t, "moves second") {
		m.SecondFault = rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "second")
	}
	var sum float64
	for i := range m.Causes {
		c := &m.Causes[i]
		c.Share *= rapid.Float64Range(0.2, 5).Draw(t, "share")
		sum += c.Share
		for j := range c.Effects {
			if rapid.Bool().Draw(t, "moves effect") {
				c.Effects[j].P = chance.Draw(t, "effect")
			}
		}
	}
	for i := range m.Causes {
		m.Causes[i].Share /= sum
	}
	for i := range m.Fixes {
		m.Fixes[i].Minutes *= rapid.Float64Range(0.5, 2).Draw(t, "minutes")
	}
	for i := range m.Observables {
		o := &m.Observables[i]
		if rapid.Bool().Draw(t, "moves normally") {
			mirror(o.Normally, rapid.Float64Range(0, 1).Draw(t, "by"))
		}
		for j := range o.Rows {
			if rapid.Bool().Draw(t, "moves row") {
				mirror(o.Rows[j].P, rapid.Float64Range(0, 1).Draw(t, "by"))
			}
		}
	}
}

// mirror moves a distribution towards its mirror image.
func mirror(p []float64, by float64) {
	image := slices.Clone(p)
	slices.Reverse(image)
	for j := range p {
		p[j] = math.FMA(by, image[j]-p[j], p[j])
	}
}

// BenchmarkRelearnShipped is what learning costs before the next ranking, with
// the rows of ten checks moved (one job), and of all.
func BenchmarkRelearnShipped(b *testing.B) {
	for _, run := range []struct {
		name  string
		moved int
	}{{"tables=10", 10}, {"tables=all", 1 << 30}} {
		b.Run(run.name, func(b *testing.B) {
			m, moved := shippedModel(b, "used-oil-heater"), shippedModel(b, "used-oil-heater")
			for i := range moved.Observables[:min(run.moved, len(moved.Observables))] {
				mirror(moved.Observables[i].Normally, 0.1)
			}
			e := New(m)
			for b.Loop() {
				e.Relearn(moved)
			}
		})
	}
}
