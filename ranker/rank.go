package ranker

import (
	"cmp"
	"slices"
)

// Options bound the work of a ranking. The zero value works everything out.
type Options struct {
	Detail int // for how many checks, from the top, minutes saved and outcomes are worked out; 0 for all
	Then   int // how many causes are named after each outcome; 0 for 3
}

// rate is what the order of the list is made from.
type rate struct {
	bits, minutes, perMinute float64
	obs, held                int32 // held is the hold's index, or -1
}

// Rank orders the symptoms and checks without a finding by bits per minute,
// held ones last, and advises the next step.
func (b *Belief) Rank(opt Options) Ranking {
	s := b.engine.pool.Get().(*scratch)
	defer b.engine.pool.Put(s)
	s.load(b)
	s.rate(b, b.done())
	list := s.list(b)
	now, first := s.repairNow(b)
	r := Ranking{Family: b.engine.model.Family, Evidence: b.evidence(), Tried: b.tried(), State: b.State(),
		Causes: b.causeChances(), Unlisted: b.UnlistedProbability(), SurpriseBits: b.SurpriseBits(), Suspect: b.Suspect(),
		Holds: b.inForce(), Checks: list, Fixes: s.fixRanks(b)}
	r.Advice = s.advise(b, list, now, first, opt)
	return r
}

// rate fills s.rates with every open observable, in the order of the list:
// falling bits per minute, ties by id, held ones last.
func (s *scratch) rate(b *Belief, done []bool) {
	e := b.engine
	s.rates = s.rates[:0]
	anyHold := slices.Contains(b.holds, true)
	for t := range e.tables {
		if done[t] {
			continue
		}
		o := &e.model.Observables[t]
		r := rate{obs: int32(t), held: -1, bits: s.gain(e, &e.tables[t], b.post),
			minutes: o.Minutes + changeMinutes(e.model, b.standing, o.State)}
		r.perMinute = r.bits / r.minutes
		if anyHold {
			r.held = int32(b.heldBy(t))
		}
		s.rates = append(s.rates, r)
	}
	s.sortRates(e.obsID)
}

// list writes out s.rates.
func (s *scratch) list(b *Belief) []CheckRank {
	m := b.engine.model
	list := make([]CheckRank, len(s.rates))
	for i, r := range s.rates {
		o := &m.Observables[r.obs]
		list[i] = CheckRank{Kind: o.Kind, ID: o.ID, Name: o.Name, Minutes: o.Minutes, StateMinutes: changeMinutes(m, b.standing, o.State),
			Bits: r.bits, BitsPerMinute: r.perMinute, Outcomes: []OutcomeRank{}, obs: int(r.obs)}
		if r.held >= 0 {
			list[i].Held = &m.Holds[r.held].Says
		}
	}
	return list
}

// repairNow returns R(e) and the fix to do first, -1 where escalating at once
// is best. It leaves the fixes' order, minutes and chances in s.
func (s *scratch) repairNow(b *Belief) (minutes float64, first int) {
	s.fixTimes(b.engine, b.standing)
	r, k := s.cureMinutes(b.engine, s.groupMass)
	if k == 0 {
		return r, -1
	}
	return r, int(s.order[0])
}

// fixRanks lists the fixes in the order repairNow left them.
func (s *scratch) fixRanks(b *Belief) []FixRank {
	m := b.engine.model
	out := make([]FixRank, 0, len(s.order))
	for _, f := range s.order {
		fix := &m.Fixes[f]
		r := FixRank{ID: fix.ID, Name: fix.Name, Probability: s.fixGiven[f], Minutes: s.minutes[f], Parts: []string{}}
		for _, p := range fix.Parts {
			r.Parts = append(r.Parts, p.Part)
		}
		if h := b.fixHeldBy(int(f)); h >= 0 {
			r.Held = &m.Holds[h].Says
		}
		out = append(out, r)
	}
	return out
}

// leastWeight is the weight below which an outcome of a reading is not listed.
const leastWeight = 1e-9

func (b *Belief) evidence() []Evidence {
	out := []Evidence{}
	for i := range b.steps {
		s := &b.steps[i]
		if s.obs < 0 {
			continue
		}
		ev := Evidence{Kind: s.finding.Kind, ID: s.finding.ID, Outcome: s.finding.Outcome, Reading: s.finding.Reading}
		if s.finding.Outcome == "" {
			ev.Weights = make(map[string]float64)
			for j, w := range s.weights {
				if w > leastWeight {
					ev.Weights[b.engine.model.Observables[s.obs].Outcomes[j]] = w
				}
			}
		}
		out = append(out, ev)
	}
	return out
}

func (b *Belief) tried() []string {
	var out []string
	for _, s := range b.steps {
		if s.obs < 0 {
			out = append(out, b.engine.model.Fixes[s.fix].ID)
		}
	}
	return out
}

func (b *Belief) causeChances() []CauseChance {
	present, root := b.marginals()
	out := make([]CauseChance, len(present))
	for c := range present {
		mc := &b.engine.model.Causes[c]
		out[c] = CauseChance{ID: mc.ID, Name: mc.Name, Probability: present[c], RootProbability: root[c]}
	}
	slices.SortFunc(out, func(a, b CauseChance) int {
		return cmp.Or(cmp.Compare(b.Probability, a.Probability), cmp.Compare(a.ID, b.ID))
	})
	return out
}

func (b *Belief) inForce() []HoldInForce {
	out := []HoldInForce{}
	m := b.engine.model
	for i, on := range b.holds {
		if !on {
			continue
		}
		h := HoldInForce{ID: m.Holds[i].ID, Says: m.Holds[i].Says, Outcome: m.Holds[i].UntilOutcome}
		if m.Holds[i].Until >= 0 {
			h.Check = m.Observables[m.Holds[i].Until].ID
		}
		out = append(out, h)
	}
	return out
}
