package kb

import "slices"

// A hold errs to the safe side: a doubtful finding begins it from this chance
// on, and ends it only from that.
const (
	beginsFrom = 0.05
	endsFrom   = 0.95
)

// Begins tells whether a finding of observable obs, with what it weighs each of
// its outcomes, brings the hold about. Holds by starts begin otherwise.
func (h *ModelHold) Begins(obs int, outcomes []string, weights []float64) bool {
	return h.Trigger == obs && (h.TriggerOutcome == "" || chance(outcomes, weights, h.TriggerOutcome) >= beginsFrom)
}

// Ends tells whether a finding of observable obs ends the hold.
func (h *ModelHold) Ends(obs int, outcomes []string, weights []float64) bool {
	return h.Until == obs && chance(outcomes, weights, h.UntilOutcome) >= endsFrom
}

// chance is the share of the weights that an outcome has.
func chance(outcomes []string, weights []float64, outcome string) float64 {
	var sum float64
	for _, w := range weights {
		sum += w
	}
	j := slices.Index(outcomes, outcome)
	if j < 0 || sum <= 0 {
		return 0
	}
	return weights[j] / sum
}

// StillCounts tells whether a finding stays evidence although the same check
// was done again: when it began a hold that says so and the new finding ends
// that hold. Else the new finding replaces it.
func (m *Model) StillCounts(obs int, before, after []float64) bool {
	outcomes := m.Observables[obs].Outcomes
	return slices.ContainsFunc(m.Holds, func(h ModelHold) bool {
		return h.StillCounts && h.Begins(obs, outcomes, before) && h.Ends(obs, outcomes, after)
	})
}
