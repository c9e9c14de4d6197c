package score

import (
	"slices"
	"testing"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// visit is a technician at work on a trouble who follows an engine's advice to
// the letter.
type visit struct {
	*trouble
	tb     testing.TB
	advice *ranker.Engine
	late   float64 // share of the fixes that do not hold which seem to at first

	acts      []kb.Act
	belief    *ranker.Belief
	standing  []int // value of each state group
	done      []int // how often each fix was done
	minutes   float64
	complaint int // acts that the dispatcher recorded
	first     int // acts before the first fix, or before the job was passed on; -1 until then
	last      int // the fix that ended the visit; -1 when the job was passed on
	held      bool
}

// mostSteps is when even this technician gives up.
const mostSteps = 60

// newVisit begins with what the dispatcher asked about.
func newVisit(tb testing.TB, t *trouble, asked []int, advice *ranker.Engine) *visit {
	v := &visit{trouble: t, tb: tb, advice: advice, standing: make([]int, len(t.world.States)), done: make([]int, len(t.world.Fixes)), first: -1, last: -1}
	for _, obs := range asked {
		v.record(obs, t.show(obs))
	}
	v.complaint = len(v.acts)
	return v
}

// work goes on until the trouble seems cured or is passed on to the support.
func (v *visit) work() {
	for range mostSteps {
		a := v.ask()
		if a.Do == ranker.DoCheck {
			if !v.check(v.world.ObservableIndex(a.Kind, a.ID), a.Hold) {
				break
			}
			continue
		}
		v.settle()
		if a.Do == ranker.DoEscalate {
			break
		}
		if v.fix(v.world.FixIndex(a.ID)) {
			return
		}
	}
	v.settle()
	v.minutes += v.world.Escalation
}

// ask asks for advice.
func (v *visit) ask() ranker.Advice {
	v.belief = v.believe(v.advice)
	return v.belief.Rank(ranker.Options{Detail: 1, Then: 1}).Advice
}

func (v *visit) believe(e *ranker.Engine) *ranker.Belief {
	b, err := e.Believe(v.acts)
	if err != nil {
		v.tb.Fatal(err)
	}
	return b
}

// settle notes that the checks are over when they are for the first time.
func (v *visit) settle() {
	if v.first < 0 {
		v.first = len(v.acts)
	}
}

// check does a check or asks about a symptom, and tells whether work goes on.
// One that has a finding is done again to end a hold: when what it showed ended
// it already, or stays evidence (the oil was taken out, the room aired). Else
// the job is passed on, since to record that all is well would be a false
// finding.
func (v *visit) check(obs int, hold string) bool {
	o := &v.world.Observables[obs]
	shows := v.show(obs)
	if v.has(o) {
		h := slices.IndexFunc(v.world.Holds, func(h kb.ModelHold) bool { return h.ID == hold })
		until := slices.Index(o.Outcomes, v.world.Holds[h].UntilOutcome)
		if shows != until && !v.world.StillCounts(obs, only(o, shows), only(o, until)) {
			return false
		}
		shows = until
	}
	v.minutes += v.change(o.State) + o.Minutes
	v.record(obs, shows)
	return true
}

// only is a finding's weights of the outcomes: all on one.
func only(o *kb.Observable, outcome int) []float64 {
	w := make([]float64, len(o.Outcomes))
	w[outcome] = 1
	return w
}

func (v *visit) has(o *kb.Observable) bool {
	return slices.ContainsFunc(v.acts, func(a kb.Act) bool { return a.Finding != nil && a.Finding.Kind == o.Kind && a.Finding.ID == o.ID })
}

func (v *visit) record(obs, outcome int) {
	o := &v.world.Observables[obs]
	v.acts = append(v.acts, saw(o.Kind, o.ID, o.Outcomes[outcome]))
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
	lot := v.holds[i*mostDone+v.done[i]%mostDone]
	v.done[i]++
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
