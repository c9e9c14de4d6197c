package ranker

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"sootsayer/kb"
)

// holdWatch follows the holds of a job by the contract's words, apart from the
// engine: plain names, no indexes.
type holdWatch struct {
	m      *kb.Model
	since  map[string]int
	on     map[string]bool
	byName map[string]*kb.Observable
}

func newHoldWatch(m *kb.Model) *holdWatch {
	w := &holdWatch{m: m, since: map[string]int{}, on: map[string]bool{}, byName: map[string]*kb.Observable{}}
	for i := range m.Observables {
		w.byName[m.Observables[i].Kind+m.Observables[i].ID] = &m.Observables[i]
	}
	return w
}

func (w *holdWatch) note(a kb.Act) {
	starts := 0
	switch {
	case a.Finding != nil:
		starts = w.byName[a.Finding.Kind+a.Finding.ID].Starts
	case a.Tried != "":
		if p := w.m.Fixes[w.m.FixIndex(a.Tried)].Proof; p >= 0 {
			starts = w.m.Observables[p].Starts
		}
	}
	for i := range w.m.Holds {
		h := &w.m.Holds[i]
		w.since[h.ID] += starts
		if h.Starts > 0 && w.since[h.ID] >= h.Starts {
			w.on[h.ID] = true
		}
		if a.Finding == nil {
			continue
		}
		if h.Trigger >= 0 && w.is(a, h.Trigger) && (h.TriggerOutcome == "" || a.Finding.Outcome == h.TriggerOutcome) {
			w.on[h.ID] = true
		}
		if h.Until >= 0 && w.is(a, h.Until) && a.Finding.Outcome == h.UntilOutcome {
			w.on[h.ID], w.since[h.ID] = false, 0
		}
	}
}

func (w *holdWatch) is(a kb.Act, obs int) bool {
	o := &w.m.Observables[obs]
	return a.Finding.Kind == o.Kind && a.Finding.ID == o.ID
}

func (w *holdWatch) active() (out []*kb.ModelHold) {
	for i := range w.m.Holds {
		if w.on[w.m.Holds[i].ID] {
			out = append(out, &w.m.Holds[i])
		}
	}
	return out
}

func (w *holdWatch) starts(check string) bool {
	o := w.byName[kb.KindCheck+check]
	return o != nil && o.Starts > 0
}

// forbids returns the hold that the advice passes, or "".
func (w *holdWatch) forbids(a Advice) string {
	obs := -1
	switch a.Do {
	case DoCheck:
		obs = w.m.ObservableIndex(a.Kind, a.ID)
	case DoFix:
		obs = w.m.Fixes[w.m.FixIndex(a.ID)].Proof
	default:
		return ""
	}
	ends := false
	for _, h := range w.active() {
		ends = ends || a.Do == DoCheck && h.Until == obs
	}
	for _, h := range w.active() {
		switch {
		case a.Do == DoCheck && h.Until == obs:
		case h.All && !ends,
			h.Starting && obs >= 0 && w.m.Observables[obs].Starts > 0,
			h.Checks != nil && obs >= 0 && h.Checks[obs]:
			return h.ID
		}
	}
	return ""
}

// riskyObservables are those that bring holds about or end them.
func riskyObservables(m *kb.Model) (out []int) {
	for i := range m.Holds {
		out = append(out, m.Holds[i].Until)
		if m.Holds[i].Trigger >= 0 {
			out = append(out, m.Holds[i].Trigger)
		}
	}
	for i := range m.Observables {
		if m.Observables[i].Starts > 0 {
			out = append(out, i)
		}
	}
	return out
}

// randomAct records anything, half of the time something that bears on holds.
func randomAct(rng *rand.Rand, m *kb.Model, risky []int) kb.Act {
	if rng.IntN(6) == 0 {
		return kb.Act{Tried: m.Fixes[rng.IntN(len(m.Fixes))].ID}
	}
	o := &m.Observables[rng.IntN(len(m.Observables))]
	if rng.IntN(2) == 0 {
		o = &m.Observables[risky[rng.IntN(len(risky))]]
	}
	return kb.Act{Finding: &kb.Finding{Kind: o.Kind, ID: o.ID, Outcome: o.Outcomes[rng.IntN(len(o.Outcomes))]}}
}

func actsText(acts []kb.Act) string {
	var out []string
	for _, a := range acts {
		if a.Finding != nil {
			out = append(out, fmt.Sprintf("%s=%s", a.Finding.ID, a.Finding.Outcome))
		} else {
			out = append(out, "tried "+a.Tried)
		}
	}
	return strings.Join(out, ", ")
}

// adviceOnly is the advice of a ranking without what is only shown.
func (b *Belief) adviceOnly() Advice {
	s := b.engine.pool.Get().(*scratch)
	defer b.engine.pool.Put(s)
	s.load(b)
	s.rate(b, b.done())
	list := s.list(b)
	now, first := s.repairNow(b)
	return s.advise(b, list, now, first, Options{Detail: 1})
}
