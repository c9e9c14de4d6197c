package learn

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"sootsayer/kb"
)

// world is a hidden truth that jobs are drawn from: a model whose numbers the
// authored base does not know.
type world struct {
	truth *kb.Model
	rng   *rand.Rand
}

// worldBase is an invented base of five causes, two of which have a row on each
// of four checks. With true set it holds the hidden shares and tables,
// otherwise the guesses that learning starts from.
func worldBase(hidden bool) *kb.Base {
	shares := []float64{40, 25, 20, 10, 5}
	if !hidden {
		shares = []float64{1, 1, 1, 1, 0}
	}
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: kiln}}}
	b.Settings.HalfLifeYears = 0
	if hidden {
		b.Settings.Unlisted, b.Settings.SecondFault = 0.12, 0.15
	}
	for i, w := range shares {
		b.Causes = append(b.Causes, kb.Cause{ID: fmt.Sprintf("x%d", i), Share: map[string]float64{kiln: w}, Fix: fmt.Sprintf("f%d", i)})
		b.Fixes = append(b.Fixes, kb.Fix{ID: fmt.Sprintf("f%d", i)})
	}
	table := func(low, high float64) kb.Table {
		return kb.Table{{Outcome: "ok", P: 1 - low - high}, {Outcome: "low", P: low}, {Outcome: "none", P: high}}
	}
	for i := range 4 {
		c := kb.Check{ID: fmt.Sprintf("c%d", i), Families: []string{kiln}, Minutes: 1,
			Outcomes: []kb.Outcome{{ID: "ok"}, {ID: "low"}, {ID: "none"}}, Normally: table(0.08, 0.02),
			If: kb.Rows{{Cause: b.Causes[i].ID, Table: table(0.7, 0.2)}, {Cause: b.Causes[i+1].ID, Table: table(0.25, 0.5)}}}
		if !hidden {
			c.Normally = table(0.2, 0.1)
			c.If[0].Table, c.If[1].Table = table(0.3, 0.3), table(0.4, 0.3)
		}
		b.Checks = append(b.Checks, c)
	}
	b.Reindex()
	return b
}

// draw returns an index with the given chances.
func (w *world) draw(p func(i int) float64, n int) int {
	u := w.rng.Float64()
	for i := range n - 1 {
		if u -= p(i); u < 0 {
			return i
		}
	}
	return n - 1
}

func (w *world) cause() int {
	return w.draw(func(i int) float64 { return w.truth.Causes[i].Share }, len(w.truth.Causes))
}

// job draws a job as the contract's section 4 has it: one root, or two that
// differ, or none that is listed.
func (w *world) job() *kb.Job {
	var causes []int
	switch {
	case w.rng.Float64() < w.truth.Unlisted:
	case w.rng.Float64() < w.truth.SecondFault:
		a, b := w.cause(), w.cause()
		for a == b {
			a, b = w.cause(), w.cause()
		}
		causes = []int{a, b}
	default:
		causes = []int{w.cause()}
	}
	j := &kb.Job{Family: kiln, Closing: &kb.Closing{At: epoch, Confidence: 1}}
	for _, c := range causes {
		j.Closing.Causes = append(j.Closing.Causes, w.truth.Causes[c].ID)
	}
	if len(causes) == 0 {
		j.Closing.Causes = []string{kb.Unlisted}
	}
	w.work(j, causes)
	return j
}

// work records findings as a technician goes about it: the next check is chosen
// by what the last one showed, and sometimes the right fix is done half-way and
// the checks are done again, on equipment that is mended by then. No check is
// repeated before that: repeating one because of what it showed is a selection
// that the counts do not undo.
func (w *world) work(j *kb.Job, causes []int) {
	check := w.rng.IntN(2)
	for range 3 {
		out := w.outcome(check, causes)
		j.Acts = append(j.Acts, saw(kb.KindCheck, fmt.Sprintf("c%d", check), []string{"ok", "low", "none"}[out]))
		switch { // an abnormal result leads to the neighbour, else further on or home
		case out > 0:
			check = (check + 1) % 4
		case w.rng.Float64() < 0.3 || len(j.Acts) > 1:
			return
		default:
			check = (check + 2) % 4
		}
	}
	if len(causes) == 1 && w.rng.Float64() < 0.5 {
		j.Acts = append(j.Acts, kb.Act{Tried: fmt.Sprintf("f%d", causes[0])})
		for i := range 4 {
			j.Acts = append(j.Acts, saw(kb.KindCheck, fmt.Sprintf("c%d", i), "ok"))
		}
	}
}

// outcome draws from the row of the first cause that has one. What it is for
// several causes does not matter: such findings are in no row.
func (w *world) outcome(check int, causes []int) int {
	o := &w.truth.Observables[check]
	p := o.Normally
	for _, row := range o.Rows {
		if len(causes) > 0 && row.Cause == causes[0] {
			p = row.P
		}
	}
	return w.draw(func(i int) float64 { return p[i] }, len(p))
}

// deviation is how far a learned number lies from where the hidden truth and
// the weight of the start put it, in standard errors.
type deviation struct {
	what string
	by   float64
	jobs int
}

// learnWorld draws 5000 jobs from hidden shares and tables and learns them from
// wrong ones.
func learnWorld(t *testing.T, seed uint64) []deviation {
	t.Helper()
	truth, err := kb.NewModel(worldBase(true), kiln)
	if err != nil {
		t.Fatal(err)
	}
	w := &world{truth: truth, rng: rand.New(rand.NewPCG(seed, 5))}
	b := worldBase(false)
	c := New(b)
	for range 5000 {
		c.Add(w.job())
	}
	start, _ := kb.NewModel(b, kiln)
	m, err := c.Model(b, kiln, "", now)
	if err != nil {
		t.Fatal(err)
	}
	var list []deviation
	compare := func(what string, got, start, truth, strength float64, jobs int) {
		n := float64(jobs)
		want, se := (strength*start+n*truth)/(strength+n), math.Sqrt(truth*(1-truth)*n)/(strength+n)
		list = append(list, deviation{what, (got - want) / se, jobs})
	}
	f, s := c.Families[kiln], b.Settings
	compare("unlisted", m.Unlisted, s.Unlisted, truth.Unlisted, s.Strength, f.Jobs.Jobs)
	compare("second fault", m.SecondFault, s.SecondFault, truth.SecondFault, s.Strength, f.Listed.Jobs)
	for i, mc := range m.Causes {
		compare("share of "+mc.ID, mc.Share, start.Causes[i].Share, rootShare(truth, i), s.Strength, f.Listed.Jobs+f.Second.Jobs)
	}
	for i, o := range m.Observables {
		table, before, is := c.Tables["check/"+o.ID], start.Observables[i], truth.Observables[i]
		for k, out := range o.Outcomes {
			compare(o.ID+" normally "+out, o.Normally[k], before.Normally[k], is.Normally[k], s.TableStrength, table.Normally.Jobs)
			for r, row := range o.Rows {
				id := m.Causes[row.Cause].ID
				compare(o.ID+" given "+id+" "+out, row.P[k], before.Rows[r].P[k], is.Rows[r].P[k], s.TableStrength, table.Rows[id].Jobs)
			}
		}
	}
	return list
}

// TestHiddenTruth: every number learned from 5000 jobs lies within 3 standard
// errors. Of 43 numbers one lies outside by chance for one seed in ten; with
// this seed none does, and TestNoBias does not hang on a seed.
func TestHiddenTruth(t *testing.T) {
	list := learnWorld(t, 1)
	if len(list) != 43 {
		t.Errorf("%d numbers, want 43", len(list))
	}
	for _, d := range list {
		if d.jobs < 50 || !(math.Abs(d.by) <= 3) {
			t.Errorf("%s, from %d jobs: %.2f standard errors off", d.what, d.jobs, d.by)
		}
	}
}

// TestNoBias: over 20 shops of 5000 jobs the deviations of each number average
// out (to within 4 standard errors of their mean), though checks are chosen by
// what was found before, and are as wide as they should be.
func TestNoBias(t *testing.T) {
	const shops = 20
	sum := map[string]float64{}
	var squares, n float64
	for seed := range uint64(shops) {
		for _, d := range learnWorld(t, 100+seed) {
			sum[d.what] += d.by
			squares += d.by * d.by
			n++
		}
	}
	for what, s := range sum {
		if z := s / math.Sqrt(shops); !(math.Abs(z) <= 4) {
			t.Errorf("%s: off by %.2f standard errors over all shops", what, z)
		}
	}
	if v := squares / n; v < 0.85 || v > 1.15 {
		t.Errorf("mean squared deviation %.3f, want 1", v)
	}
}

// rootShare is how often cause i is among the roots, out of all roots: its
// share in jobs with one root, share_a x share_b / (sum over pairs) in the
// others, of which it is in those with any other cause.
func rootShare(m *kb.Model, i int) float64 {
	squares := 0.0
	for _, c := range m.Causes {
		squares += c.Share * c.Share
	}
	w, d := m.Causes[i].Share, m.SecondFault
	return ((1-d)*w + d*w*(1-w)/((1-squares)/2)) / (1 + d)
}

// TestIntervalsCover: when the truth is drawn from the prior, 90 % intervals
// hold it 90 times in 100, whatever the number of jobs (Cook, Gelman and Rubin
// 2006, Validation of software for Bayesian models using posterior quantiles).
func TestIntervalsCover(t *testing.T) {
	b := worldBase(true)
	b.Settings.Unlisted = 0.3
	start, _ := kb.NewModel(b, kiln)
	rng := rand.New(rand.NewPCG(7, 7))
	const rounds = 2000
	held := map[string]int{}
	for range rounds {
		truth, _ := kb.NewModel(b, kiln)
		drawTruth(rng, truth, start, b.Settings.Strength)
		w := &world{truth: truth, rng: rng}
		c := New(b)
		for range rng.IntN(60) {
			j := &kb.Job{Family: kiln, Closing: &kb.Closing{At: epoch, Causes: []string{kb.Unlisted}, Confidence: 1}}
			if rng.Float64() >= truth.Unlisted {
				j.Closing.Causes[0] = truth.Causes[w.cause()].ID
			}
			c.Add(j)
		}
		for _, p := range c.Priors(b, kiln, "", now) {
			is := truth.Unlisted
			if p.ID != kb.Unlisted {
				is = truth.Causes[truth.CauseIndex(p.ID)].Share
			}
			if p.Low <= is && is <= p.High {
				held[p.ID]++
			}
		}
	}
	for id, n := range held {
		if se := math.Sqrt(0.9 * 0.1 / rounds); math.Abs(float64(n)/rounds-0.9) > 3*se {
			t.Errorf("%s: 90 %% intervals held the truth in %d of %d rounds", id, n, rounds)
		}
	}
	if len(held) != len(start.Causes)+1 {
		t.Errorf("intervals of %d shares", len(held))
	}
}

// drawTruth draws shares and unlisted from their priors, a Dirichlet as gammas
// over their sum.
func drawTruth(rng *rand.Rand, truth, start *kb.Model, strength float64) {
	var sum float64
	for i := range truth.Causes {
		truth.Causes[i].Share = gamma(rng, strength*start.Causes[i].Share)
		sum += truth.Causes[i].Share
	}
	for i := range truth.Causes {
		truth.Causes[i].Share /= sum
	}
	x, y := gamma(rng, strength*start.Unlisted), gamma(rng, strength*(1-start.Unlisted))
	truth.Unlisted = x / (x + y)
}

// gamma draws from a gamma distribution of shape 1 or more (Marsaglia and
// Tsang 2000, A simple method for generating gamma variables).
func gamma(rng *rand.Rand, shape float64) float64 {
	d := shape - 1.0/3
	for {
		x := rng.NormFloat64()
		v := math.Pow(1+x/math.Sqrt(9*d), 3)
		if v > 0 && math.Log(rng.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}
