package learn

import (
	"math"
	"testing"
	"time"

	"sootsayer/kb"
)

// meanAndVariance are those of observations of weight 1, the variance being the
// mean squared distance.
func meanAndVariance(list []float64) (mean, variance float64) {
	for _, x := range list {
		mean += x / float64(len(list))
	}
	for _, x := range list {
		variance += (x - mean) * (x - mean) / float64(len(list))
	}
	return mean, variance
}

// TestSpeedOfLight: a vague prior, of which Student's interval comes (LN-01).
func TestSpeedOfLight(t *testing.T) {
	var in struct{ Measurements []float64 }
	var want struct {
		Mean, SD float64
		Interval [2]float64 `json:"interval_95"`
		T        float64    `json:"t_65"`
	}
	vectors(t, "lognormal.json")["LN-01"].read(t, &in, &want)
	mean, variance := meanAndVariance(in.Measurements)
	n := float64(len(in.Measurements))
	p := nig{above: -1.5}.after(n, mean, variance) // shape -1/2, everything else 0
	alpha := p.above + 1
	within(t, "mean", p.mu, want.Mean, 0.05)
	within(t, "standard deviation", math.Sqrt(p.beta/alpha), want.SD, 0.06)
	within(t, "degrees of freedom", 2*alpha, n-1, 0)
	low, high := p.interval(0.95)
	within(t, "half the interval in standard errors", (high-low)/2/math.Sqrt(p.beta/alpha/p.kappa), want.T, 0.0005)
	// 23.57 and 28.853, the latter printed as 28.8.
	within(t, "low", low, want.Interval[0], 0.06)
	within(t, "high", high, want.Interval[1], 0.06)
}

// TestMidgeWings: an informative prior, the lengths stated as the logarithms of
// minutes of a check and so counted (LN-02).
func TestMidgeWings(t *testing.T) {
	var in struct {
		Lengths          []float64
		Mu0, Kappa0, Nu0 float64
		Sigma0Squared    float64 `json:"sigma0_squared"`
	}
	var want struct {
		Mu            float64 `json:"mu_n"`
		Kappa         float64 `json:"kappa_n"`
		Nu            float64 `json:"nu_n"`
		SigmaNSquared float64 `json:"sigma_n_squared"`
	}
	vectors(t, "lognormal.json")["LN-02"].read(t, &in, &want)
	c := New(kilnBase())
	for _, x := range in.Lengths {
		c.Add(job([]string{"eye"}, kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "ohms", Outcome: "ok", Minutes: math.Exp(x)}}))
	}
	n, mean, variance := c.Minutes["check/ohms"].at(1)
	p := nig{mu: in.Mu0, kappa: in.Kappa0, above: in.Nu0/2 - 1, beta: in.Nu0 / 2 * in.Sigma0Squared}.after(n, mean, variance)
	within(t, "mu", p.mu, want.Mu, 0.0005)
	within(t, "kappa", p.kappa, want.Kappa, 1e-12)
	within(t, "nu", 2*(p.above+1), want.Nu, 1e-12)
	within(t, "sigma squared", p.beta/(p.above+1), want.SigmaNSquared, 0.0005)
}

// TestForgettingEverywhere: cures, effects, minutes and pieces fade as shares do
// (LE-14).
func TestForgettingEverywhere(t *testing.T) {
	var in struct {
		Constructed struct {
			Jobs [][2]any `json:"jobs_age_cause"`
		}
	}
	var want struct {
		Constructed struct {
			Weights  map[string]float64
			HalfLife float64 `json:"half_life_months"`
		}
	}
	vectors(t, "forgetting.json")["LE-14"].read(t, &in, &want)
	b := lettersBase(1, 1, 1)
	b.Settings.HalfLifeYears = want.Constructed.HalfLife / 12
	b.Fixes, b.Parts = nil, []kb.Part{{ID: "part"}}
	for i := range b.Causes {
		id := b.Causes[i].ID
		b.Causes[i].Fix = "fix-" + id
		b.Fixes = append(b.Fixes, kb.Fix{ID: "fix-" + id, Minutes: 5, Cures: 0.5})
	}
	b.Reindex()
	c := New(b)
	for _, j := range in.Constructed.Jobs {
		c.Add(&kb.Job{Family: "birth", Closing: &kb.Closing{At: now.Add(-time.Duration(j[0].(float64) * yearSeconds / 12 * 1e9)),
			Causes: []string{j[1].(string)}, Confidence: 1, FixMinutes: 5, Used: map[string]float64{"part": 1}}})
	}
	scale := c.Now(now)
	for id, w := range want.Constructed.Weights {
		f := c.Fixes["fix-"+id]
		p := f.Cures.posterior(2, 0.5, scale)
		within(t, "cures of "+id, p.a-1, w, 1e-9)
		n, _, _ := f.Minutes.at(scale)
		within(t, "minutes of "+id, n, w, 1e-9)
		within(t, "pieces of "+id, c.Pieces(b, "birth", "fix-"+id, now)[0].Weighted, w, 1e-9)
		within(t, "root of "+id, c.Families["birth"].Roots[id].at(scale), w, 1e-9)
	}
}

// TestPiecesDirichlet: of none, one, two and three pieces with the weights of
// LE-17 before the jobs the base can say none, and all others together.
func TestPiecesDirichlet(t *testing.T) {
	var in struct {
		Prior []float64
		Jobs  []int
	}
	var want struct {
		Mean []float64 `json:"posterior_mean"`
	}
	vectors(t, "dirichlet.json")["LE-17"].read(t, &in, &want)
	b := lettersBase(1)
	strength := in.Prior[0] + in.Prior[1] + in.Prior[2] + in.Prior[3]
	b.Settings.TableStrength = strength
	b.Parts = []kb.Part{{ID: "part"}}
	b.Fixes[0].Parts = []kb.PartUse{{Part: "part", Qty: 1, Chance: 1 - in.Prior[0]/strength}}
	b.Reindex()
	c := New(b)
	for pieces, n := range in.Jobs {
		used := map[string]float64{"part": float64(pieces)}
		for range n {
			c.Add(&kb.Job{Family: "birth", Closing: &kb.Closing{At: epoch, Causes: []string{"A"}, Confidence: 1, Used: used}})
		}
	}
	table := c.Pieces(b, "birth", "none", epoch)[0]
	within(t, "none", table.Pieces[0].P, want.Mean[0], 1e-12)
	within(t, "any", table.Chance, want.Mean[1]+want.Mean[2]+want.Mean[3], 1e-12)
}
