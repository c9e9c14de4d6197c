package score

import (
	"slices"
	"testing"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// visit is a technician at work on a trouble who follows the advice of an
// engine, whatever it has learned.
type visit struct {
	*trouble
	tb     testing.TB
	advice *ranker.Engine
	late   float64 // chance that a fix which does not hold seems to

	acts      []kb.Act
	standing  []int // value of each state group
	did       []int // how often each fix was done
	minutes   float64
	complaint int // acts of it
	diagnosed int // acts before the first fix, or before the job was passed on; -1 until then
	belief    *ranker.Belief
	last      int // the fix that ended the visit, -1 when the job was passed on
	held      bool
}

// mostSteps is when even who follows the advice to the letter gives up.
const mostSteps = 60

func newVisit(tb testing.TB, t *trouble, advice *ranker.Engine) *visit {
	v := &visit{trouble: t, tb: tb, advice: advice, standing: make([]int, len(t.world.States)), did: make([]int, len(t.world.Fixes)), diagnosed: -1, last: -1}
	for _, obs := range t.ask {
		v.record(obs, t.show(obs))
	}
	v.complaint = len(v.acts)
	return v
}

// work follows the advice until the trouble seems cured or is passed on.
func (v *visit) work() {
	for range mostSteps {
		r := v.rank()
		a := &r.Advice
		if a.Do == ranker.DoCheck {
			if v.check(v.world.ObservableIndex(a.Kind, a.ID), a.Hold) {
				continue
			}
			break
		}
		v.diagnose()
		if a.Do == ranker.DoEscalate {
			break
		}
		if v.fix(v.world.FixIndex(a.ID)) {
			return
		}
	}
	v.diagnose()
	v.minutes += v.world.Escalation
}

func (v *visit) rank() ranker.Ranking {
	b, err := v.advice.Believe(v.acts)
	if err != nil {
		v.tb.Fatal(err)
	}
	v.belief = b
	return b.Rank(ranker.Options{Detail: 1, Then: 1})
}

func (v *visit) diagnose() {
	if v.diagnosed < 0 {
		v.diagnosed = len(v.acts)
	}
}

// check does a check or asks about a symptom, and tells whether work goes on.
// One that has a finding is done again only to end a hold: when what it showed
// stays evidence (the room was aired, the oil taken out), or ended it already.
// Else the job is passed on: to write down "ok" would falsify the finding.
func (v *visit) check(obs int, hold string) bool {
	o := &v.world.Observables[obs]
	shows := v.show(obs)
	if v.found(obs) {
		h := v.world.Holds[slices.IndexFunc(v.world.Holds, func(h kb.ModelHold) bool { return h.ID == hold })]
		until := slices.Index(o.Outcomes, h.UntilOutcome)
		if shows != until && !v.world.StillCounts(obs, only(shows, o), only(until, o)) {
			return false
		}
		shows = until
	}
	v.minutes += v.change(o.State) + o.Minutes
	v.record(obs, shows)
	return true
}

// only weighs one outcome.
func only(outcome int, o *kb.Observable) []float64 {
	w := make([]float64, len(o.Outcomes))
	w[outcome] = 1
	return w
}

func (v *visit) found(obs int) bool {
	o := &v.world.Observables[obs]
	return slices.ContainsFunc(v.acts, func(a kb.Act) bool { return a.Finding != nil && a.Finding.ID == o.ID && a.Finding.Kind == o.Kind })
}

func (v *visit) record(obs, outcome int) {
	o := &v.world.Observables[obs]
	v.acts = append(v.acts, kb.Act{Finding: &kb.Finding{Kind: o.Kind, ID: o.ID, Outcome: o.Outcomes[outcome]}})
}

// change brings the equipment to how it is needed and returns the minutes.
func (v *visit) change(need []int) (minutes float64) {
	for i, value := range need {
		if value >= 0 {
			minutes += v.world.States[i].Minutes[v.standing[i]][value]
			v.standing[i] = value
		}
	}
	return minutes
}

// fix does a fix with its proof and tells whether the trouble seems cured. What
// it treats in part is gone; where it treats everything it may not hold.
func (v *visit) fix(i int) bool {
	f := &v.world.Fixes[i]
	v.minutes += v.change(f.State) + f.Minutes
	if f.Proof >= 0 {
		proof := &v.world.Observables[f.Proof]
		v.minutes += v.change(proof.State) + proof.Minutes
	}
	lot := v.holds[i*mostDone+v.did[i]%mostDone]
	v.did[i]++
	left := slices.DeleteFunc(slices.Clone(v.present), func(c int) bool { return v.world.Causes[c].Fix == i })
	if len(v.present) > 0 && len(left) == 0 {
		v.held = lot < f.Cures
		if v.held || lot >= 1-v.late*(1-f.Cures) {
			v.last = i
			return true
		}
	} else {
		v.present = left
	}
	v.acts = append(v.acts, kb.Act{Tried: f.ID})
	return false
}
