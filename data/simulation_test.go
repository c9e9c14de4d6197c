package data

import (
	"math/rand/v2"
	"slices"
	"testing"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// TestSimulatedTechnician lets a technician follow the advice on jobs drawn from
// the base itself: a root cause by share with its effects, a complaint of one or
// two symptoms that it shows, and every result drawn from the cause's own tables.
// All of it is invented; it shows whether the base and the advice hang together,
// not how real heaters fail. The bounds leave room for the draw: 150 jobs a
// family put about 2 % on each share.
func TestSimulatedTechnician(t *testing.T) {
	b, err := Base()
	if err != nil {
		t.Fatal(err)
	}
	jobs := 150
	if testing.Short() || raceDetector {
		jobs = 30
	}
	for _, family := range b.IDs("families") {
		t.Run(family, func(t *testing.T) {
			m, err := kb.NewModel(b, family)
			if err != nil {
				t.Fatal(err)
			}
			engine := ranker.New(m)
			var sum tally
			for i := range jobs {
				c := &call{m: m, engine: engine, rng: rand.New(rand.NewPCG(7, uint64(i)))}
				c.work(t, &sum)
			}
			share := func(n int) float64 { return float64(n) / float64(sum.jobs) }
			t.Logf("%d jobs: cured %.3f, escalated %.3f, first fix right %.3f, true cause first at the first fix %.3f, among three %.3f; %.0f minutes, %.1f checks and questions a job",
				sum.jobs, share(sum.cured), share(sum.escalated), share(sum.firstRight), share(sum.top1), share(sum.top3), sum.minutes/float64(sum.jobs), float64(sum.steps)/float64(sum.jobs))
			if testing.Short() || raceDetector {
				return
			}
			if share(sum.cured) < 0.88 || share(sum.escalated) > 0.1 {
				t.Errorf("cured %.3f, escalated %.3f; want at least 0.88 and at most 0.1", share(sum.cured), share(sum.escalated))
			}
			if share(sum.firstRight) < 0.85 || share(sum.top3) < 0.88 {
				t.Errorf("first fix right %.3f, true cause among three %.3f; want at least 0.85 and 0.88", share(sum.firstRight), share(sum.top3))
			}
		})
	}
}

// tally is what the simulated calls came to.
type tally struct {
	jobs, cured, escalated, firstRight, top1, top3, steps int
	minutes                                               float64
}

// call is one simulated call; present are the true causes still there.
type call struct {
	m       *kb.Model
	engine  *ranker.Engine
	rng     *rand.Rand
	root    int
	present []int
	acts    []kb.Act
}

func (c *call) work(t *testing.T, sum *tally) {
	c.breakDown()
	c.complain()
	sum.jobs++
	for step, fixed := 0, false; step < 80; step++ {
		b, err := c.engine.Believe(c.acts)
		if err != nil {
			t.Fatal(err)
		}
		r := b.Rank(ranker.Options{Detail: 1})
		switch r.Advice.Do {
		case ranker.DoEscalate:
			sum.escalated++
			return
		case ranker.DoCheck:
			sum.steps++
			sum.minutes += c.check(&r)
			continue
		}
		fix := c.m.FixIndex(r.Advice.ID)
		right := slices.ContainsFunc(c.present, func(x int) bool { return c.m.Causes[x].Fix == fix })
		if !fixed {
			fixed = true
			sum.first(c, &r, right)
		}
		for _, f := range r.Fixes {
			if f.ID == r.Advice.ID {
				sum.minutes += f.Minutes
			}
		}
		if right && c.rng.Float64() < c.m.Fixes[fix].Cures {
			c.present = slices.DeleteFunc(c.present, func(x int) bool { return c.m.Causes[x].Fix == fix })
		}
		if len(c.present) == 0 {
			sum.cured++
			return
		}
		c.acts = append(c.acts, kb.Act{Tried: r.Advice.ID})
	}
}

// first counts how good the belief was when the first fix was advised.
func (s *tally) first(c *call, r *ranker.Ranking, right bool) {
	if right {
		s.firstRight++
	}
	place := slices.IndexFunc(r.Causes, func(x ranker.CauseChance) bool { return slices.Contains(c.present, c.m.CauseIndex(x.ID)) })
	if place == 0 {
		s.top1++
	}
	if place < 3 {
		s.top3++
	}
}

// breakDown draws a root cause and what it brings along.
func (c *call) breakDown() {
	w := make([]float64, len(c.m.Causes))
	for i := range w {
		w[i] = c.m.Causes[i].Share
	}
	c.root = c.draw(w)
	c.present = []int{c.root}
	for i := 0; i < len(c.present); i++ {
		for _, e := range c.m.Causes[c.present[i]].Effects {
			if !slices.Contains(c.present, e.Cause) && c.rng.Float64() < e.P {
				c.present = append(c.present, e.Cause)
			}
		}
	}
}

// complain draws one or two symptoms, those more often that show more surely.
func (c *call) complain() {
	w := make([]float64, len(c.m.Observables))
	for i := range w {
		if o := &c.m.Observables[i]; o.Kind == kb.KindSymptom {
			w[i] = c.shows(o)[1]
		}
	}
	for range 1 + c.rng.IntN(2) {
		i := c.draw(w)
		w[i] = 0
		c.record(&c.m.Observables[i], kb.Yes)
	}
}

func (c *call) record(o *kb.Observable, outcome string) {
	c.acts = append(c.acts, kb.Act{Finding: &kb.Finding{Kind: o.Kind, ID: o.ID, Outcome: outcome}})
}

// check does the advised check. One that only ends a hold ends it: the oil is
// taken out, the room aired.
func (c *call) check(r *ranker.Ranking) (minutes float64) {
	o := &c.m.Observables[c.m.ObservableIndex(r.Advice.Kind, r.Advice.ID)]
	for _, h := range r.Holds {
		if h.ID == r.Advice.Hold && slices.ContainsFunc(c.acts, func(a kb.Act) bool { return a.Finding != nil && a.Finding.ID == o.ID }) {
			c.record(o, h.Outcome)
			return o.Minutes
		}
	}
	for _, x := range r.Checks {
		if x.Kind == o.Kind && x.ID == o.ID {
			minutes = x.Minutes + x.StateMinutes
		}
	}
	c.record(o, o.Outcomes[c.draw(c.shows(o))])
	return minutes
}

// shows is the outcome distribution of the true causes: the row of the one that
// bears most on it, which is near enough to their noisy-MAX here.
func (c *call) shows(o *kb.Observable) []float64 {
	var most []float64
	for _, row := range o.Rows {
		if slices.Contains(c.present, row.Cause) && (most == nil || row.P[0] < most[0]) {
			most = row.P
		}
	}
	if most == nil {
		return o.Normally
	}
	return most
}

func (c *call) draw(p []float64) int {
	var sum float64
	for _, v := range p {
		sum += v
	}
	x := c.rng.Float64() * sum
	for i, v := range p {
		if x -= v; x < 0 {
			return i
		}
	}
	return len(p) - 1
}
