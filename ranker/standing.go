package ranker

import (
	"slices"

	"sootsayer/kb"
)

// stand leaves the equipment as a check or fix needed it; -1 leaves a state
// group as it was.
func (b *Belief) stand(need []int) {
	for i, v := range need {
		if v >= 0 {
			b.standing[i] = v
		}
	}
}

func (b *Belief) setState(state map[string]string) error {
	m := b.engine.model
	have := make([]string, len(m.States))
	for i := range m.States {
		have[i] = m.States[i].ID
	}
	for id, value := range state {
		i := slices.Index(have, id)
		if i < 0 {
			return kb.UnknownID("state", id, have)
		}
		v := slices.Index(m.States[i].Values, value)
		if v < 0 {
			return kb.UnknownID("value of state "+id, value, m.States[i].Values)
		}
		b.standing[i] = v
	}
	return nil
}

// State returns how the equipment stands, by state id.
func (b *Belief) State() map[string]string {
	m := b.engine.model
	out := make(map[string]string, len(m.States))
	for i := range m.States {
		out[m.States[i].ID] = m.States[i].Values[b.standing[i]]
	}
	return out
}

// changeMinutes returns the minutes to bring the equipment from how it stands
// to what is needed.
func changeMinutes(m *kb.Model, standing, need []int) float64 {
	var t float64
	for i, v := range need {
		if v >= 0 && v != standing[i] {
			t += m.States[i].Minutes[standing[i]][v]
		}
	}
	return t
}

// fixMinutes returns m(f): the changes of state the fix needs, its own minutes,
// the changes its proof needs after it, and the proof's minutes. Scratch holds
// one standing.
func fixMinutes(m *kb.Model, f *kb.ModelFix, standing, scratch []int) float64 {
	t := changeMinutes(m, standing, f.State) + f.Minutes
	if f.Proof < 0 {
		return t
	}
	copy(scratch, standing)
	for i, v := range f.State {
		if v >= 0 {
			scratch[i] = v
		}
	}
	proof := &m.Observables[f.Proof]
	return t + changeMinutes(m, scratch, proof.State) + proof.Minutes
}
