package ranker

// noteFinding lets a finding count burner starts, bring holds about and end
// them.
func (b *Belief) noteFinding(obs int, weights []float64) {
	m := b.engine.model
	o := &m.Observables[obs]
	b.noteStarts(o.Starts)
	for i := range m.Holds {
		h := &m.Holds[i]
		if h.Begins(obs, o.Outcomes, weights) {
			b.holds[i] = true
		}
		if h.Ends(obs, o.Outcomes, weights) {
			b.holds[i] = false
			b.since[i] = 0
		}
	}
}

// noteStarts counts burner starts and brings about the holds that limit them.
func (b *Belief) noteStarts(starts int) {
	for i := range b.engine.model.Holds {
		b.since[i] += starts
		if limit := b.engine.model.Holds[i].Starts; limit > 0 && b.since[i] >= limit {
			b.holds[i] = true
		}
	}
}

// heldBy returns the index of the first hold in force that keeps a check back,
// or -1. A hold never keeps back the check that ends it, and one that keeps
// everything back leaves the checks that end other holds, so that two holds
// cannot block each other.
func (b *Belief) heldBy(obs int) int {
	m := b.engine.model
	for i := range m.Holds {
		h := &m.Holds[i]
		if !b.holds[i] || h.Until == obs {
			continue
		}
		if h.Starting && m.Observables[obs].Starts > 0 || h.Checks != nil && h.Checks[obs] ||
			h.All && !b.endsHold(obs) {
			return i
		}
	}
	return -1
}

// endsHold tells whether a finding of the check can end a hold in force.
func (b *Belief) endsHold(obs int) bool {
	for i := range b.holds {
		if b.holds[i] && b.engine.model.Holds[i].Until == obs {
			return true
		}
	}
	return false
}

// fixHeldBy returns the index of the first hold in force that a fix would run
// into: one that keeps everything back, or keeps back the fix's proof.
func (b *Belief) fixHeldBy(fix int) int {
	m := b.engine.model
	for i := range m.Holds {
		if b.holds[i] && m.Holds[i].All {
			return i
		}
	}
	if p := m.Fixes[fix].Proof; p >= 0 {
		return b.heldBy(p)
	}
	return -1
}
