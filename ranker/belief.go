package ranker

import (
	"fmt"
	"math"
	"slices"

	"sootsayer/kb"
)

// Belief is what is known of one job: the chance of every hypothesis given
// everything recorded. It belongs to one goroutine.
type Belief struct {
	engine   *Engine
	weight   []float64 // by set present when the job began; sums to 1
	now      []int32   // by that set: the set still present after the fixes tried
	post     []float64 // by set still present; sums to 1
	steps    []step
	standing []int // value of each state group
	holds    []bool
	since    []int // burner starts since each hold was last cleared
	bits     float64
	expected float64
}

// step is one piece of evidence as it was counted, in order.
type step struct {
	obs     int // observable, or -1 for a tried fix
	fix     int
	weights []float64
	finding *kb.Finding
	given   float64 // probability of the step given those before it
}

// Believe folds the acts of a job, in order, into a belief. A finding of the
// same symptom or check replaces an earlier one, unless it only ends a hold
// whose beginning still counts. Unknown ids and outcomes are
// errors, and so is evidence that the model holds impossible.
func (e *Engine) Believe(acts []kb.Act) (*Belief, error) {
	b := &Belief{engine: e, standing: make([]int, len(e.model.States)),
		holds: make([]bool, len(e.model.Holds)), since: make([]int, len(e.model.Holds))}
	steps, err := b.read(acts)
	if err != nil {
		return nil, err
	}
	return b, b.weigh(steps)
}

// read turns the acts into steps of evidence, leaving out findings that a
// later one replaced, and follows states and holds on the way.
func (b *Belief) read(acts []kb.Act) ([]step, error) {
	var steps []step
	m := b.engine.model
	for i := range acts {
		a := &acts[i]
		switch {
		case a.Finding != nil:
			o := m.ObservableIndex(a.Finding.Kind, a.Finding.ID)
			if o < 0 {
				return nil, fmt.Errorf("family %q has no %s %q", m.Family, a.Finding.Kind, a.Finding.ID)
			}
			w, err := m.Observables[o].Weights(a.Finding)
			if err != nil {
				return nil, err
			}
			earlier := slices.IndexFunc(steps, func(s step) bool { return s.obs == o })
			if earlier < 0 || !m.StillCounts(o, steps[earlier].weights, w) {
				if earlier >= 0 {
					steps = slices.Delete(steps, earlier, earlier+1)
				}
				steps = append(steps, step{obs: o, fix: -1, weights: w, finding: a.Finding})
			}
			b.stand(m.Observables[o].State)
			b.noteFinding(o, w)
		case a.Tried != "":
			f := m.FixIndex(a.Tried)
			if f < 0 {
				return nil, fmt.Errorf("fix %q cures no cause of family %q", a.Tried, m.Family)
			}
			steps = append(steps, step{obs: -1, fix: f})
			b.stand(m.Fixes[f].State)
			if p := m.Fixes[f].Proof; p >= 0 {
				b.stand(m.Observables[p].State)
				b.noteStarts(m.Observables[p].Starts)
			}
		case a.State != nil:
			if err := b.setState(a.State); err != nil {
				return nil, err
			}
		}
	}
	return steps, nil
}

// weigh multiplies the prior by every step in order.
func (b *Belief) weigh(steps []step) error {
	e := b.engine
	b.steps = steps
	b.weight = slices.Clone(e.hyp.prior)
	b.now = make([]int32, len(b.weight))
	for s := range b.now {
		b.now[s] = int32(s)
	}
	lik := make([]float64, len(b.weight))
	for i := range steps {
		s := &steps[i]
		var total float64
		if s.obs >= 0 {
			total = b.weighFinding(s, lik)
		} else {
			total = b.weighTried(s.fix)
		}
		s.given = total
		if !(total > 0) {
			return fmt.Errorf("%s cannot be together with what was recorded before; repeat it or undo it (a floor above 0 in the settings keeps such findings possible)", b.describe(s))
		}
		for h := range b.weight {
			b.weight[h] /= total
		}
	}
	b.post = make([]float64, len(b.weight))
	for h, w := range b.weight {
		b.post[b.now[h]] += w
	}
	return nil
}

func (b *Belief) describe(s *step) string {
	if s.obs < 0 {
		return fmt.Sprintf("fix %q without a cure", b.engine.model.Fixes[s.fix].ID)
	}
	o := &b.engine.model.Observables[s.obs]
	return fmt.Sprintf("the finding of %s %q", o.Kind, o.ID)
}

// weighFinding multiplies the weights by the finding's likelihood, adds up its
// surprise, and returns its probability given what came before.
func (b *Belief) weighFinding(s *step, lik []float64) float64 {
	tab := &b.engine.tables[s.obs]
	outcomes := make([]float64, tab.k)
	b.predict(tab, outcomes)
	b.expected += entropy(outcomes)
	tab.likelihoods(s.weights, lik)
	var total float64
	for h := range b.weight {
		b.weight[h] *= lik[b.now[h]]
		total += b.weight[h]
	}
	b.bits -= math.Log2(total)
	return total
}

// likelihoods fills lik with the likelihood of a finding, given as weights of
// the outcomes, by the set that is present.
func (tab *table) likelihoods(weights, lik []float64) {
	base := dot(weights, tab.normal)
	for i := range lik {
		lik[i] = base
	}
	rows := make([]float64, len(tab.h))
	for j, w := range weights {
		for r, p := range tab.p[j] {
			rows[r] += w * p
		}
	}
	for i, set := range tab.sets {
		lik[set] = rows[tab.setRow[i]]
	}
}

// predict writes the outcome distribution expected now.
func (b *Belief) predict(tab *table, out []float64) {
	now := make([]float64, len(b.weight)) // by set still present
	for h, w := range b.weight {
		now[b.now[h]] += w
	}
	rest := 1.0
	for i, set := range tab.sets {
		rest -= now[set]
		for j := range out {
			out[j] += now[set] * tab.p[j][tab.setRow[i]]
		}
	}
	for j, p := range tab.normal {
		out[j] += max(0, rest) * p
	}
}

// weighTried counts a fix that was done and did not cure: a hypothesis all of
// whose remaining causes it treats is multiplied by 1 - cures and keeps them,
// one that it treats in part loses those causes from here on.
func (b *Belief) weighTried(fix int) float64 {
	e := b.engine
	var total float64
	for h := range b.weight {
		left, whole := e.afterFix(b.now[h], fix)
		if whole {
			b.weight[h] *= 1 - e.model.Fixes[fix].Cures
		}
		b.now[h] = left
		total += b.weight[h]
	}
	b.bits -= math.Log2(total)
	return total
}

// afterFix returns the set that a fix leaves of another, and whether it treats
// all of it, in which case the set stays.
func (e *Engine) afterFix(set int32, fix int) (left int32, whole bool) {
	causes := e.hyp.causes[set]
	rest := without(e.model, causes, fix)
	switch {
	case len(rest) == len(causes):
		return set, false
	case len(rest) == 0:
		return set, true
	}
	return e.hyp.index[setKey(rest)], false
}

// Probability returns the chance that the cause (an index of the model) is
// still present.
func (b *Belief) Probability(cause int) float64 {
	var p float64
	for s, w := range b.post {
		if w > 0 && slices.Contains(b.engine.hyp.causes[s], int32(cause)) {
			p += w
		}
	}
	return p
}

// marginals returns for every cause the chance that it is still present, and
// that it is and was a root.
func (b *Belief) marginals() (present, root []float64) {
	h := b.engine.hyp
	present = make([]float64, len(b.engine.model.Causes))
	root = make([]float64, len(present))
	for s, w := range b.weight {
		if w == 0 {
			continue
		}
		still := h.causes[b.now[s]]
		for _, c := range still {
			present[c] += w
		}
		for _, r := range h.roots[s] {
			if slices.Contains(still, r.cause) {
				root[r.cause] += w * r.mass / h.prior[s]
			}
		}
	}
	return present, root
}

// UnlistedProbability returns the chance that the cause is not in the base.
func (b *Belief) UnlistedProbability() float64 { return b.post[0] }

// LogEvidence returns log2 of the probability of everything recorded.
func (b *Belief) LogEvidence() float64 { return -b.bits }

// done tells which observables have a finding.
func (b *Belief) done() []bool {
	done := make([]bool, len(b.engine.model.Observables))
	for _, s := range b.steps {
		if s.obs >= 0 {
			done[s.obs] = true
		}
	}
	return done
}

// Likeliest returns the ids of the n likeliest causes.
func (b *Belief) Likeliest(n int) []string {
	var out []string
	chances := b.causeChances()
	for _, c := range chances[:min(n, len(chances))] {
		out = append(out, c.ID)
	}
	return out
}
