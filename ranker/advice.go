package ranker

import "math"

// leastSaving is how many minutes a check must save to count as saving any: a
// guard against rounding, far below anything a person could notice.
const leastSaving = 1e-9

// advise works out the minutes saved and outcomes of the checks from the top
// and returns the next step: the check with the highest rate among those that
// save minutes, else the first fix, else escalation. What a hold keeps back is
// never advised; the check that ends the hold is.
func (s *scratch) advise(b *Belief, list []CheckRank, now float64, first int, opt Options) Advice {
	best := s.savings(b, list, now, opt)
	if h := b.blockingHold(); h >= 0 {
		return s.clearHold(b, list, h, now, opt)
	}
	switch {
	case best >= 0:
		c := &list[best]
		return Advice{Do: DoCheck, Kind: c.Kind, ID: c.ID, ExpectedMinutes: now - *c.MinutesSaved}
	case first < 0:
		return Advice{Do: DoEscalate, ExpectedMinutes: now}
	}
	if h := b.fixHeldBy(first); h >= 0 {
		return s.clearHold(b, list, h, now, opt)
	}
	return Advice{Do: DoFix, ID: b.engine.model.Fixes[first].ID, ExpectedMinutes: now}
}

// savings fills in the details from the top and returns the first check that is
// not held and saves minutes, or -1.
func (s *scratch) savings(b *Belief, list []CheckRank, now float64, opt Options) int {
	best := -1
	most := now - s.leastMinutes(b) // what knowing everything would save
	present, _ := b.marginals()
	for i := range list {
		c := &list[i]
		minutes := c.Minutes + c.StateMinutes
		listed := opt.Detail == 0 || i < opt.Detail
		open := best < 0 && c.Held == nil && minutes < most
		if !listed && !open {
			if best >= 0 {
				break
			}
			continue
		}
		s.gain(b.engine, &b.engine.tables[c.obs], b.post)
		saved := s.saved(b, c.obs, minutes, now)
		c.MinutesSaved = &saved
		if listed || saved > leastSaving {
			c.Outcomes = s.outcomes(b, c.obs, present, opt)
		}
		if best < 0 && c.Held == nil && saved > leastSaving {
			best = i
		}
	}
	return best
}

// leastMinutes is a lower bound on the expected minutes to a cure after any
// check: what it would take if all that has to be done were known and the
// equipment stood right for every fix. Clairvoyance, as in the expected value
// of perfect information (Howard 1966).
func (s *scratch) leastMinutes(b *Belief) float64 {
	e := b.engine
	for f := range e.model.Fixes {
		fix := &e.model.Fixes[f]
		s.minutes[f] = fix.Minutes
		if fix.Proof >= 0 {
			s.minutes[f] += e.model.Observables[fix.Proof].Minutes
		}
	}
	var total float64
	for g, fixes := range e.groups.fixes {
		var t float64
		for _, f := range fixes {
			t += s.minutes[f]
		}
		if len(fixes) == 0 {
			t = e.model.Escalation
		}
		total += s.groupMass[g] * math.Min(t, e.model.Escalation)
	}
	return total
}

// blockingHold returns a hold in force that keeps everything back, or -1.
func (b *Belief) blockingHold() int {
	for i, on := range b.holds {
		if on && b.engine.model.Holds[i].All {
			return i
		}
	}
	return -1
}

// clearHold advises the check that ends a hold, with its details where it has
// no finding yet. Where a hold cannot be ended here (its check belongs to
// another family, or is kept back itself) the job is one to escalate.
func (s *scratch) clearHold(b *Belief, list []CheckRank, h int, now float64, opt Options) Advice {
	m := b.engine.model
	until := m.Holds[h].Until
	if until < 0 || b.heldBy(until) >= 0 {
		return Advice{Do: DoEscalate, ExpectedMinutes: now, Hold: m.Holds[h].ID}
	}
	for i := range list {
		if c := &list[i]; c.obs == until && len(c.Outcomes) == 0 {
			present, _ := b.marginals()
			s.gain(b.engine, &b.engine.tables[until], b.post)
			c.Outcomes = s.outcomes(b, until, present, opt)
		}
	}
	o := &m.Observables[until]
	return Advice{Do: DoCheck, Kind: o.Kind, ID: o.ID, ExpectedMinutes: now, Hold: m.Holds[h].ID}
}
