package ranker

import (
	"fmt"
	"math"
	"slices"
)

// Support is how much one step of evidence speaks for a cause, in bits: the
// weight of evidence log2 P(step | cause, past) / P(step | no cause, past)
// (Good 1950), positive for and negative against. The weights of all steps add
// up to the change of the cause's log-odds.
type Support struct {
	Kind string  `json:"kind"` // symptom, check or fix
	ID   string  `json:"id"`
	Bits float64 `json:"bits"`
}

// Why returns, for a cause, its prior log-odds in bits and what each step spoke
// for or against it, in the order recorded. "Cause present" means present when
// the job began.
func (b *Belief) Why(cause string) (prior float64, supports []Support, err error) {
	e := b.engine
	c := e.model.CauseIndex(cause)
	if c < 0 {
		return 0, nil, fmt.Errorf("family %q has no cause %q", e.model.Family, cause)
	}
	odds := func(b *Belief) float64 {
		var with, all float64
		for h, w := range b.weight {
			all += w
			if slices.Contains(e.hyp.causes[h], int32(c)) {
				with += w
			}
		}
		return math.Log2(with) - math.Log2(all-with)
	}
	before := odds(&Belief{engine: e, weight: e.hyp.prior})
	prior = before
	for i := range b.steps {
		past := &Belief{engine: e}
		if err := past.weigh(slices.Clone(b.steps[:i+1])); err != nil {
			return prior, supports, err
		}
		after := odds(past)
		s := Support{Kind: "fix", Bits: after - before}
		if b.steps[i].obs >= 0 {
			s.Kind, s.ID = b.steps[i].finding.Kind, b.steps[i].finding.ID
		} else {
			s.ID = e.model.Fixes[b.steps[i].fix].ID
		}
		supports = append(supports, s)
		before = after
	}
	return prior, supports, nil
}
