package score

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// TestHiddenTruthDrawsItself: causes are there, and symptoms and checks show what
// they show, as often as who knows the truth expects of a job of which nothing
// is known: roots, effects, second faults, the unlisted cause, and all tables.
func TestHiddenTruthDrawsItself(t *testing.T) {
	b := shippedBase(t)
	n := 20000.0
	if testing.Short() || raceDetector {
		n = 2000
	}
	for _, family := range b.IDs("families") {
		w := newShop(t, b, &plan{seed: 12, family: family, models: []string{"m-1"}}).truth.worlds[0][0]
		seen := make(map[string]float64)
		for i := range int(n) {
			v := breakDown(rand.New(rand.NewPCG(12, uint64(i))), w)
			for _, id := range v.names() {
				seen[id]++
			}
			for obs := range w.Observables {
				o := &w.Observables[obs]
				seen[o.Kind+"/"+o.ID+"="+o.Outcomes[v.show(obs)]]++
			}
		}
		belief, err := w.knows.Believe(nil)
		if err != nil {
			t.Fatal(err)
		}
		r := belief.Rank(ranker.Options{})
		causes, shown := off{n: n, seen: seen}, off{n: n, seen: seen}
		causes.add(kb.Unlisted, r.Unlisted)
		for _, c := range r.Causes {
			causes.add(c.ID, c.Probability)
		}
		for _, c := range r.Checks {
			for _, o := range c.Outcomes {
				shown.add(c.Kind+"/"+c.ID+"="+o.ID, o.Probability)
			}
		}
		causes.judge(t, family+", causes")
		shown.judge(t, family+", outcomes")
	}
}

// off is how far counts are from what was expected, in standard errors.
type off struct {
	n                 float64
	seen              map[string]float64
	of, squares, most float64
	which             string
}

// add compares a count of which enough were expected.
func (x *off) add(what string, p float64) {
	if x.n*p*(1-p) < 5 {
		return
	}
	z := (x.seen[what] - x.n*p) / math.Sqrt(x.n*p*(1-p))
	x.of++
	x.squares += z * z
	if math.Abs(z) > math.Abs(x.most) {
		x.most, x.which = z, what
	}
}

func (x *off) judge(t *testing.T, name string) {
	t.Logf("%s: %.0f counts, mean squared deviation %.2f, at most %.1f standard errors (%s)", name, x.of, x.squares/x.of, x.most, x.which)
	if x.of < 20 || x.squares/x.of > 1.5 || math.Abs(x.most) > 4.5 {
		t.Errorf("%s: the truth does not draw itself", name)
	}
}

// TestHiddenTruthKnowsItself: the troubles drawn from the truth come as who knows
// it says that they do, with effects and second faults, after checks and after a
// fix that did not cure. Were the simulator and the ranker two models, nothing
// could be held against the truth's own chances.
func TestHiddenTruthKnowsItself(t *testing.T) {
	n := 1500
	if testing.Short() || raceDetector {
		n = 150
	}
	s := newShop(t, shippedBase(t), &plan{seed: 11, family: "oil-furnace", models: []string{"m-1"}})
	w := s.truth.worlds[0][0]
	single := *w.Model // what to look at next is found sooner without second faults
	single.SecondFault = 0
	guide := ranker.New(&single)
	var tests [2]trial
	for i := range n {
		rng := rand.New(rand.NewPCG(11, uint64(100+i)))
		v := newVisit(t, breakDown(rng, w), s.dispatch(rng), guide)
		for range 6 {
			best := v.believe(guide).Rank(ranker.Options{Detail: 1, Then: 1}).Checks[0]
			obs := w.ObservableIndex(best.Kind, best.ID)
			v.record(obs, v.show(obs))
		}
		for m := range tests {
			knows := v.believe(w.knows)
			tests[m].add(forecastOf(knows), forecastOf(v.believe(s.engines.authored)), v.classes())
			if v.fix(w.Causes[w.CauseIndex(knows.Likeliest(1)[0])].Fix) {
				break
			}
		}
	}
	for m, name := range []string{"after six checks", "after a fix that did not cure"} {
		tests[m].judge(t, name)
	}
}

// trial holds causes that were drawn against what the truth said of them: its
// own log loss, by how much it is less than that of the base as authored, and
// its calibration. What the truth expects of the first two is the mean over its
// own chances.
type trial struct {
	n                float64
	own, gained, all difference // own and gained are less what was expected; all is what was gained
	bins             *Bins
}

func (c *trial) add(knows, authored []float64, is []int) {
	own, other := scoresOf(knows, is).LogLoss, scoresOf(authored, is).LogLoss
	var expected, otherwise float64
	for k, p := range knows {
		expected += p * LogLoss(knows, k)
		otherwise += p * LogLoss(authored, k)
	}
	c.n++
	c.own.add(own - expected)
	c.all.add(other - own)
	c.gained.add(other - own - (otherwise - expected))
	if c.bins == nil {
		c.bins = EqualWidth(binCount)
	}
	(&asked{first: c.bins, all: EqualWidth(binCount)}).ask(knows, is)
}

func (c *trial) judge(t *testing.T, name string) {
	own, gained, all := c.own.gain(c.n), c.gained.gain(c.n), c.all.gain(c.n)
	off, luck := c.bins.CalibrationError(), c.bins.CalibrationLuck()
	t.Logf("%s, %.0f troubles: log loss %+.3f of what the truth expected (%.1f standard errors); %.3f less than as authored (%.1f), %+.3f of what it expected (%.1f); calibration error %.3f, by luck %.3f",
		name, c.n, own.Bits, own.errors(), all.Bits, all.errors(), gained.Bits, gained.errors(), off, luck)
	if math.Abs(own.errors()) > 3.5 || math.Abs(gained.errors()) > 3.5 || off > 1.6*luck {
		t.Errorf("%s: the truth does not know itself", name)
	}
	if c.n > 500 && all.errors() < 7 {
		t.Errorf("%s: the truth cannot be told from the base", name)
	}
}

// errors is a gain in standard errors.
func (g Gain) errors() float64 { return g.Bits * z90 / (g.High - g.Bits) }

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
