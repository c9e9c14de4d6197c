package score

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// TestHiddenTruthKnowsItself: who knows the truth forecasts the troubles drawn
// from it as well as it says: with effects and second faults, at random findings
// and after a fix that did not cure. Were the simulator and the ranker two
// models, nothing could be held against the truth's own chances. The base as
// authored, which does not know the truth, must stand out.
func TestHiddenTruthKnowsItself(t *testing.T) {
	n := 3000
	if testing.Short() || raceDetector {
		n = 300
	}
	b := shippedBase(t)
	p := &plan{seed: 11, family: "oil-furnace", models: []string{"m-1"}}
	s := newShop(t, b, p)
	w := s.truth.worlds[0][0]
	var knows, authored [2]calm
	for i := range n {
		rng := rand.New(rand.NewPCG(p.seed, uint64(100+i)))
		v := newVisit(t, breakDown(rng, w), s.dispatch(rng), w.knows)
		for _, obs := range rng.Perm(len(w.Observables))[:10] {
			if !v.has(&w.Observables[obs]) {
				v.record(obs, v.show(obs))
			}
		}
		for moment := range knows {
			knows[moment].add(t, v, w.knows)
			authored[moment].add(t, v, s.engines.authored)
			if v.fix(likeliestFix(t, v, w)) {
				break
			}
		}
	}
	for moment, name := range []string{"at random findings", "after a fix that did not cure"} {
		z, error, luck := knows[moment].judge()
		other, _, _ := authored[moment].judge()
		t.Logf("%s, %.0f troubles: log loss %.2f standard errors above what was expected (the base as authored: %.1f), calibration error %.4f, by luck %.4f", name, knows[moment].n, z, other, error, luck)
		if math.Abs(z) > 3.5 || error > 1.6*luck {
			t.Errorf("%s: the truth does not know itself", name)
		}
		if n > 1000 && other < 8 {
			t.Errorf("%s: the base as authored is held to know the truth, %.1f standard errors off", name, other)
		}
	}
}

// calm compares the log loss of drawn causes with what the forecasts themselves
// expected it to be.
type calm struct {
	n     float64
	above difference
	bins  *Bins
}

func (c *calm) add(t *testing.T, v *visit, e *ranker.Engine) {
	b, err := e.Believe(v.acts)
	if err != nil {
		t.Fatal(err)
	}
	said, is := forecastOf(b), v.classes()
	above := scoresOf(said, is).LogLoss
	for k, p := range said {
		above -= p * LogLoss(said, k)
	}
	c.n++
	c.above.add(above)
	if c.bins == nil {
		c.bins = EqualWidth(binCount)
	}
	(&asked{first: c.bins, all: EqualWidth(binCount)}).ask(said, is)
}

// judge is how many standard errors the log loss is above what was expected, the
// calibration error and that by luck.
func (c *calm) judge() (z, error, luck float64) {
	g := c.above.gain(c.n)
	return g.Bits / ((g.High - g.Bits) / z90), c.bins.CalibrationError(), c.bins.CalibrationLuck()
}

// likeliestFix treats the cause that is held likeliest.
func likeliestFix(t *testing.T, v *visit, w *world) int {
	b, err := w.knows.Believe(v.acts)
	if err != nil {
		t.Fatal(err)
	}
	return w.Causes[w.CauseIndex(b.Likeliest(1)[0])].Fix
}

// TestHiddenTruthIsAnother: the truth differs from the base in every kind of
// number, and its models from each other.
func TestHiddenTruthIsAnother(t *testing.T) {
	b := shippedBase(t)
	for _, family := range b.IDs("families") {
		s := newShop(t, b, &plan{seed: 3, family: family, models: []string{"m-1", "m-2"}})
		m, w := s.engines.authored.Model(), s.truth.worlds[0]
		differ := map[string]bool{
			"shares":   !slices.Equal(sharesOf(m), sharesOf(w[0].Model)) && !slices.Equal(sharesOf(w[0].Model), sharesOf(w[1].Model)),
			"unlisted": m.Unlisted != w[0].Unlisted && m.SecondFault != w[0].SecondFault,
			"drift":    len(s.truth.grown) == grownCauses,
			"rows":     !slices.EqualFunc(m.Observables, w[0].Observables, func(a, b kb.Observable) bool { return slices.Equal(a.Normally, b.Normally) }),
		}
		for what, is := range differ {
			if !is {
				t.Errorf("%s: %s are as authored", family, what)
			}
		}
		for _, i := range s.truth.grown {
			before, since := w[0].Causes[i].Share, s.truth.worlds[1][0].Causes[i].Share
			if since < 2*before {
				t.Errorf("%s: %s grew from %.3f to %.3f", family, m.Causes[i].ID, before, since)
			}
		}
	}
}
