package main

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// Bounds of a call.
const (
	mostSteps  = 11 // checks, questions and tried fixes
	mostTried  = 2
	mostAsked  = 3 // questions put to the customer
	mostSpoken = 2 // symptoms that a customer brings up
)

// call is one service call being worked: what is there and what was recorded.
type call struct {
	truth     *truth
	rng       *rand.Rand
	present   map[int]bool // causes still there
	began     map[int]bool // causes there at first
	shows     map[int]int  // outcome drawn of each symptom and check
	done      map[int]bool // checks that were done
	spoken    []int        // symptoms that the customer brought up
	before    []kb.Finding // recorded before any fix
	tried     []kb.Act     // from the first tried fix on
	steps     int
	asked     int
	gaveUp    bool
	minutes   float64
	used      map[string]float64
	likeliest []string // causes by the belief at the end
}

// work works a call from complaint to cure, as a technician does who follows
// the advice and is not always the same.
func (t *truth) work(b *kb.Base, rng *rand.Rand, present map[int]bool, engine *ranker.Engine) (*call, error) {
	c := &call{truth: t, rng: rng, present: maps.Clone(present), began: present, shows: make(map[int]int), done: make(map[int]bool), used: make(map[string]float64)}
	c.complain()
	for {
		belief, err := engine.Believe(c.acts())
		if err != nil {
			return nil, err
		}
		c.likeliest = belief.Likeliest(4)
		r := belief.Rank(ranker.Options{Detail: 1, Then: 1})
		done, err := c.step(b, &r)
		if err != nil || done {
			return c, err
		}
	}
}

// outcome is what a symptom or check shows, the same however often it is asked.
func (c *call) outcome(i int) int {
	o, known := c.shows[i]
	if !known {
		o = c.truth.outcome(c.rng, &c.truth.model.Observables[i], c.began)
		c.shows[i] = o
	}
	return o
}

func (c *call) record(f kb.Finding) {
	if len(c.tried) > 0 {
		c.tried = append(c.tried, kb.Act{Finding: &f})
	} else {
		c.before = append(c.before, f)
	}
}

// acts are what was recorded, in the order in which the file has them.
func (c *call) acts() []kb.Act {
	var acts []kb.Act
	for _, kind := range []string{kb.KindSymptom, kb.KindCheck} {
		for i := range c.before {
			if c.before[i].Kind == kind {
				acts = append(acts, kb.Act{Finding: &c.before[i]})
			}
		}
	}
	return append(acts, c.tried...)
}

// step does the next thing and tells whether the call is over.
func (c *call) step(b *kb.Base, r *ranker.Ranking) (done bool, err error) {
	c.steps++
	m := c.truth.model
	next := -1
	switch {
	case c.steps > mostSteps:
	case r.Advice.Do == ranker.DoCheck && !(r.Advice.Kind == kb.KindSymptom && c.asked >= mostAsked):
		next = m.ObservableIndex(r.Advice.Kind, r.Advice.ID)
		c.clear(r.Advice.Hold, next)
	case r.Advice.Do != ranker.DoFix:
		next = c.worth(r)
	}
	if next >= 0 {
		c.check(b, next)
		return false, nil
	}
	if len(r.Fixes) == 0 || r.Advice.Do == ranker.DoEscalate || c.triedFixes() == mostTried {
		c.gaveUp = true
		c.minutes += 30
		return true, nil
	}
	return c.fix(b, m.FixIndex(r.Fixes[0].ID)), nil
}

// clear does what a hold asks for before its check is done again, such as taking
// out the oil that was found.
func (c *call) clear(hold string, check int) {
	m := c.truth.model
	for i := range m.Holds {
		if h := &m.Holds[i]; h.ID == hold && h.Until == check && c.done[check] {
			if o := slices.Index(m.Observables[check].Outcomes, h.UntilOutcome); o >= 0 {
				c.shows[check] = o
				c.minutes += 10
			}
		}
	}
}

// worth is the check that tells most a minute and that no hold keeps back: what
// a technician does who is there anyway. It is -1 where there is none.
func (c *call) worth(r *ranker.Ranking) int {
	for i := range r.Checks {
		k := &r.Checks[i]
		if k.Held == nil && k.Kind == kb.KindCheck && k.Bits > 0.02 {
			return c.truth.model.ObservableIndex(k.Kind, k.ID)
		}
	}
	return -1
}

func (c *call) triedFixes() (n int) {
	for _, a := range c.tried {
		if a.Tried != "" {
			n++
		}
	}
	return n
}

func (c *call) check(b *kb.Base, i int) {
	o := &c.truth.model.Observables[i]
	c.minutes += o.Minutes
	f := kb.Finding{Kind: o.Kind, ID: o.ID, Outcome: o.Outcomes[c.outcome(i)]}
	if o.Kind == kb.KindSymptom {
		c.asked++
	} else if r, ok := c.reading(b, o, c.outcome(i)); ok {
		f.Outcome, f.Reading = "", &r
	}
	c.done[i] = true
	c.record(f)
}

// reading draws what the meter shows for an outcome with two bounds, 0 being one
// where nothing is below it; in round steps, so that people could read it off.
func (c *call) reading(b *kb.Base, o *kb.Observable, outcome int) (float64, bool) {
	k, ok := b.Check(o.ID)
	if !ok || k.Reading == nil || len(k.Reading.Inputs) > 0 {
		return 0, false
	}
	from, to := o.Ranges[outcome].From, o.Ranges[outcome].To
	if lowest, _ := k.Reading.Limits(); math.IsInf(from, -1) && lowest == 0 {
		from = 0
	}
	if math.IsInf(from, 0) || math.IsInf(to, 0) {
		return 0, false
	}
	grain := math.Pow(10, math.Floor(math.Log10((to-from)/8)))
	r := math.Round((from+(to-from)*(0.15+0.7*c.rng.Float64()))/grain) * grain
	r = math.Round(r*1e6) / 1e6 // no digits that only the computer sees
	return r, r > from && r < to
}

// fix does a fix and tells whether that ended the call.
func (c *call) fix(b *kb.Base, i int) bool {
	m := c.truth.model
	f := &m.Fixes[i]
	c.minutes += f.Minutes
	if f.Proof >= 0 {
		c.minutes += m.Observables[f.Proof].Minutes
	}
	if fix, ok := b.Fix(f.ID); ok {
		lot := make(map[string]float64) // by one_of: what is left of the draw that picks the part
		for _, use := range fix.PartsFor(m.Family) {
			drawn := c.rng.Float64()
			if left, begun := lot[use.OneOf]; begun && use.OneOf != "" {
				drawn = left
			}
			lot[use.OneOf] = drawn - use.Chance
			if 0 <= drawn && drawn < use.Chance && use.Qty > 0 {
				c.used[use.Part] += math.Ceil(use.Qty)
			}
		}
	}
	held := c.rng.Float64() < f.Cures
	for cause := range m.Causes {
		if held && m.Causes[cause].Fix == i {
			delete(c.present, cause)
		}
	}
	if len(c.began) > 0 && len(c.present) == 0 {
		return true
	}
	c.tried = append(c.tried, kb.Act{Tried: f.ID})
	return false
}
