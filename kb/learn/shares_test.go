package learn

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// modelJob is a closed job of a family of lettersBase, on equipment of a model.
func modelJob(model, cause string, at time.Time) *kb.Job {
	return &kb.Job{Family: "birth", Model: model, Closing: &kb.Closing{At: at, Causes: []string{cause}, Confidence: 1}}
}

// fatal is what testing and rapid have in common here.
type fatal interface{ Fatal(args ...any) }

// sharesNow are the shares of a family's causes for one model.
func sharesNow(t fatal, c *Counts, b *kb.Base, model string) []float64 {
	m, err := c.Model(b, "birth", model, now)
	if err != nil {
		t.Fatal(err)
	}
	list := make([]float64, len(m.Causes))
	for i := range m.Causes {
		list[i] = m.Causes[i].Share
	}
	return list
}

// plainKappa scans for the kappa of the highest evidence times prior, with
// nothing but math.Lgamma.
func plainKappa(models [][]float64, mean []float64, z0 float64) float64 {
	lgamma := func(x float64) float64 { l, _ := math.Lgamma(x); return l }
	best, top := 0.0, math.Inf(-1)
	for u := math.Log(0.01); u < math.Log(1e5); u += 1e-3 {
		k := math.Exp(u)
		l := u - 2*math.Log(z0+k)
		for _, counts := range models {
			n := 0.0
			for j, c := range counts {
				n += c
				l += lgamma(k*mean[j]+c) - lgamma(k*mean[j])
			}
			l += lgamma(k) - lgamma(k+n)
		}
		if l > top {
			best, top = k, l
		}
	}
	return best
}

// TestModelSharesAgainstPlain: three models of an invented family. Two of them
// fail alike, the third has its own weakness.
func TestModelSharesAgainstPlain(t *testing.T) {
	b := lettersBase(12, 9, 6, 3) // 30 jobs' worth
	counts := map[string][]float64{"M1": {12, 9, 3, 0}, "M2": {9, 8, 5, 1}, "M3": {2, 3, 1, 18}}
	nameless := []float64{4, 3, 2, 1}
	c, alike := New(b), New(b)
	add := func(c *Counts, model string, n []float64) {
		for i, times := range n {
			for range int(times) {
				c.Add(modelJob(model, b.Causes[i].ID, now))
			}
		}
	}
	add(c, "", nameless)
	for model, n := range counts {
		add(c, model, n)
		if model != "M3" {
			add(alike, model, n)
		}
	}
	mean := make([]float64, 4)
	for i := range mean {
		mean[i] = (30*[]float64{0.4, 0.3, 0.2, 0.1}[i] + nameless[i] + counts["M1"][i] + counts["M2"][i] + counts["M3"][i]) / (30 + 81)
	}
	kappa := plainKappa([][]float64{counts["M1"], counts["M2"], counts["M3"]}, mean, 30)
	if !(kappa > 1 && kappa < 15) { // well below 30: the third model differs
		t.Errorf("kappa %v", kappa)
	}
	for model, n := range counts {
		for i, got := range sharesNow(t, c, b, model) {
			within(t, model, got, (kappa*mean[i]+n[i])/(kappa+addUp(n)), 1e-4)
		}
	}
	for _, model := range []string{"", "M4"} {
		for i, got := range sharesNow(t, c, b, model) {
			within(t, "the family", got, mean[i], 1e-12)
		}
	}
	// Without the third model the two are alike, and their family is worth more
	// to each than its start is to the family.
	start, _ := kb.NewModel(b, "birth")
	if k := alike.Families["birth"].kappa(start, 30); !(k > 30) {
		t.Errorf("kappa %v of models alike, %v with one that differs", k, kappa)
	}
}

// TestModelSharesLieBetween: a model's shares sum to 1 and lie between those of
// its family and how often each was the cause there; those of a model that no
// job had are its family's.
func TestModelSharesLieBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := lettersBase(rapid.Float64Range(0, 9).Draw(t, "A"), 4, 3, 0.5)
		b.Settings.Strength = rapid.SampledFrom([]float64{0, 2, 30}).Draw(t, "strength")
		b.Settings.HalfLifeYears = rapid.SampledFrom([]float64{0, 3}).Draw(t, "half-life")
		c := New(b)
		own := map[string][]float64{}
		for range rapid.IntRange(0, 40).Draw(t, "jobs") {
			model := rapid.SampledFrom([]string{"", "M1", "M2", "M3"}).Draw(t, "model")
			cause := rapid.IntRange(0, 3).Draw(t, "cause")
			years := rapid.IntRange(0, 5).Draw(t, "years")
			at := now.Add(-time.Duration(years) * 8766 * time.Hour)
			c.Add(modelJob(model, b.Causes[cause].ID, at))
			if own[model] == nil {
				own[model] = make([]float64, 4)
			}
			weight := 1.0
			if half := b.Settings.HalfLifeYears; half > 0 {
				weight = math.Exp2(-float64(years) / half)
			}
			own[model][cause] += weight
		}
		family := sharesNow(t, c, b, "")
		for _, model := range []string{"M1", "M2", "M3", "M4"} {
			got := sharesNow(t, c, b, model)
			if sum := addUp(got); math.Abs(sum-1) > 1e-12 {
				t.Fatalf("shares of %s sum to %v", model, sum)
			}
			for i := range got {
				low, high := family[i], family[i]
				if n := own[model]; n != nil {
					low, high = min(low, n[i]/addUp(n)), max(high, n[i]/addUp(n))
				}
				if got[i] < low-1e-12 || got[i] > high+1e-12 {
					t.Fatalf("share %v of %s, the family has %v, the model's jobs %v", got[i], model, family[i], own[model])
				}
			}
		}
	})
}

// TestModelPriors: the list agrees with the model and holds its own jobs.
// Intervals contain the mean wherever a cause is worth a job or more on either
// side.
func TestModelPriors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := lettersBase(8, 5, 4, 3)
		c := New(b)
		n := map[string]int{}
		for range rapid.IntRange(1, 60).Draw(t, "jobs") {
			model := rapid.SampledFrom([]string{"M1", "M2"}).Draw(t, "model")
			cause := rapid.SampledFrom(b.IDs("causes")).Draw(t, "cause")
			c.Add(modelJob(model, cause, now))
			n[model+cause]++
		}
		start, _ := kb.NewModel(b, "birth")
		for _, model := range []string{"", "M1", "M2", "M3"} {
			m, _ := c.Model(b, "birth", model, now)
			p := c.family(start, model, b.Settings.Strength, c.Now(now))
			for _, prior := range c.Priors(b, "birth", model, now) {
				if prior.ID == kb.Unlisted {
					continue
				}
				i := m.CauseIndex(prior.ID)
				if prior.Now != m.Causes[i].Share || prior.Start != start.Causes[i].Share {
					t.Fatalf("%s: %+v, but the model has %v from %v", model, prior, m.Causes[i].Share, start.Causes[i].Share)
				}
				if jobs, any := n[model+prior.ID], len(c.Families["birth"].Models[model]) > 0; any && prior.Jobs != jobs {
					t.Fatalf("%s: %+v, want %d jobs", model, prior, jobs)
				}
				if s := p.shares[i]; s.a >= 1 && s.b >= 1 && !(prior.Low <= prior.Now && prior.Now <= prior.High) {
					t.Fatalf("%s: mean outside of %+v", model, prior)
				}
			}
		}
	})
}

// TestKappaDoesNotFade: models that differ keep seeming to, however old their
// jobs; fitted to what the jobs weigh now they would seem alike.
func TestKappaDoesNotFade(t *testing.T) {
	const truth = 40.0
	b := lettersBase(8, 5, 4, 3, 6, 4)
	b.Settings.HalfLifeYears = 3
	start, _ := kb.NewModel(b, "birth")
	rng := rand.New(rand.NewPCG(11, 2))
	c := New(b)
	for model := range 60 {
		share := make([]float64, len(b.Causes))
		for i := range share {
			// Shapes below 1 by Gamma(shape+1) U^(1/shape) (Marsaglia and Tsang 2000).
			shape := truth * start.Causes[i].Share
			share[i] = gamma(rng, shape+1) * math.Pow(rng.Float64(), 1/shape)
		}
		all := addUp(share)
		for n := range 60 {
			i, u := 0, rng.Float64()*all
			for ; i+1 < len(share) && u > share[i]; i++ {
				u -= share[i]
			}
			c.Add(modelJob(string(rune('A'+model)), b.Causes[i].ID, now.AddDate(0, -2*n, 0)))
		}
	}
	f := c.Families["birth"]
	kappa := f.kappa(start, b.Settings.Strength)
	if !(kappa > truth/1.3 && kappa < truth*1.3) {
		t.Errorf("kappa %v of models drawn with %v", kappa, truth)
	}
	p := c.family(start, "", b.Settings.Strength, c.Now(now))
	mean := make([]float64, len(p.shares))
	for i := range mean {
		mean[i] = p.shares[i].mean()
	}
	var faded [][]float64
	for _, roots := range f.Models {
		faded = append(faded, rootWeights(start, roots, c.Now(now)))
	}
	if k := FitConcentration(faded, mean, b.Settings.Strength); !(k > 1.5*truth) {
		t.Errorf("kappa %v of faded jobs, drawn with %v", k, truth)
	}
}

// TestModelIntervals: the only model of a family is known no more surely than the
// family, and models that differ hardly more surely than by their own jobs.
func TestModelIntervals(t *testing.T) {
	b := lettersBase(8, 5, 4, 3)
	start, _ := kb.NewModel(b, "birth")
	c := New(b)
	for range 40 {
		c.Add(modelJob("M1", "A", now))
		c.Add(modelJob("M1", "B", now))
	}
	jobs := func(model string) float64 {
		s := c.family(start, model, b.Settings.Strength, c.Now(now)).shares[0]
		return s.a + s.b
	}
	if family, only := jobs(""), jobs("M1"); only > family || only <= 80 {
		t.Errorf("the only model is worth %.1f jobs, its family %.1f; want between its own 80 and that", only, family)
	}
	for range 40 {
		c.Add(modelJob("M2", "C", now))
	}
	if first, second := jobs("M1"), jobs("M2"); first < 80 || first > 100 || second < 40 || second > 60 {
		t.Errorf("models that differ are worth %.1f and %.1f jobs; want little more than their own 80 and 40", first, second)
	}
}
