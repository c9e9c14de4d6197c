package learn_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

// drawPlain draws a base of causes that lead to nothing and come one at a time,
// so that the ranker's hypotheses are the candidates.
func drawPlain(t *rapid.T) *kb.Base {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: "kiln"}}}
	b.Settings.SecondFault = 0
	b.Settings.Unlisted = rapid.SampledFrom([]float64{0.01, 0.3}).Draw(t, "unlisted")
	chance := rapid.SampledFrom([]float64{0, 0.02, 0.3, 0.7, 1})
	for i := range 5 {
		b.Causes = append(b.Causes, kb.Cause{ID: fmt.Sprintf("x%d", i), Fix: fmt.Sprintf("f%d", i/2),
			Share: map[string]float64{"kiln": rapid.SampledFrom([]float64{1, 3, 20}).Draw(t, "share")}})
	}
	for i := range 3 {
		b.Fixes = append(b.Fixes, kb.Fix{ID: fmt.Sprintf("f%d", i), Minutes: 1, Cures: rapid.SampledFrom([]float64{0, 0.5, 0.95}).Draw(t, "cures")})
	}
	for i := range 4 {
		s := kb.Symptom{ID: fmt.Sprintf("s%d", i), Families: []string{"kiln"}, Minutes: 1}
		p := chance.Draw(t, "normally")
		s.Normally = kb.Table{{Outcome: kb.No, P: 1 - p}, {Outcome: kb.Yes, P: p}}
		for _, c := range b.Causes {
			if rapid.Bool().Draw(t, "row") {
				p := chance.Draw(t, "p")
				s.If = append(s.If, kb.Row{Cause: c.ID, Table: kb.Table{{Outcome: kb.No, P: 1 - p}, {Outcome: kb.Yes, P: p}}})
			}
		}
		b.Symptoms = append(b.Symptoms, s)
	}
	b.Reindex()
	return b
}

// TestCandidatesAgreeWithRanker: a job closed with one of several causes counts
// each by the belief that the ranker has of it after the same acts, among those
// that were named.
func TestCandidatesAgreeWithRanker(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawPlain(t)
		j := &kb.Job{Family: "kiln", Closing: &kb.Closing{At: time.Date(2026, time.May, 4, 0, 0, 0, 0, time.UTC), OneOf: true, Confidence: 1}}
		for i := range b.Symptoms {
			if rapid.Bool().Draw(t, "asked") {
				j.Acts = append(j.Acts, kb.Act{Finding: &kb.Finding{Kind: kb.KindSymptom, ID: b.Symptoms[i].ID, Outcome: rapid.SampledFrom([]string{kb.No, kb.Yes}).Draw(t, "found")}})
			}
		}
		for range rapid.IntRange(0, 2).Draw(t, "tries") {
			j.Acts = append(j.Acts, kb.Act{Tried: rapid.SampledFrom([]string{"f0", "f1", "f2"}).Draw(t, "tried")})
		}
		ids := append(b.IDs("causes"), kb.Unlisted)
		j.Closing.Causes = rapid.SliceOfNDistinct(rapid.SampledFrom(ids), 2, len(ids), rapid.ID[string]).Draw(t, "candidates")
		m, err := kb.NewModel(b, "kiln")
		if err != nil {
			t.Fatal(err)
		}
		belief, err := ranker.New(m).Believe(j.Acts)
		if err != nil {
			t.Skip("impossible together")
		}
		chance := func(id string) float64 {
			if id == kb.Unlisted {
				return belief.UnlistedProbability()
			}
			return belief.Probability(m.CauseIndex(id))
		}
		var all float64
		for _, id := range j.Closing.Causes {
			all += chance(id)
		}
		c := learn.New(b)
		c.HalfLifeYears = 0
		c.Add(j)
		f := c.Families["kiln"]
		for _, id := range ids {
			want, got := 0.0, f.Roots[id].Weight
			if id == kb.Unlisted {
				got = f.Unlisted.Weight
			}
			if slices.Contains(j.Closing.Causes, id) {
				want = chance(id) / all
			}
			if !(math.Abs(got-want) <= 1e-9) {
				t.Fatalf("%s counts %v, the ranker believes %v of it", id, got, want)
			}
		}
	})
}
