package score

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// plan says what a simulated shop is like and how long it is watched.
type plan struct {
	seed      uint64
	family    string
	models    []string
	perSeason int       // calls a year, evenly
	driftFrom time.Time // some causes grow from then on
	stages    []stage
	timed     int // fresh jobs of which minutes are compared
}

// stage is a number of closed jobs, callbacks among them, and how many fresh
// ones what was learned from them is examined on.
type stage struct{ jobs, fresh int }

// firstDay is when the shop begins, with a heating season.
var firstDay = time.Date(2020, time.July, 1, 0, 0, 0, 0, time.UTC)

// Habits of the shop.
const (
	scripted  = 6                // symptoms that the dispatcher always asks about
	atRandom  = 2                // and others
	worked    = 90 * time.Minute // from a job's opening to its closing
	firstBack = 1.0              // days until a fix that did not hold brings the trouble back
	lastBack  = 25.0
	seemHeld  = 0.5 // share of the fixes that do not hold which come back; the others show at once
)

// shop works, closes its jobs and learns from them.
type shop struct {
	tb      testing.TB
	plan    *plan
	truth   *truth
	teacher *teacher
	engines *engines
	script  []int
	rng     *rand.Rand
	cases   []Case
	right   []*kb.Closing // by case: with what was really there
	coming  []callback    // in the order of time
	calls   int
	advice  []*ranker.Engine // by model, from the jobs closed by the last time they were made
	relearn int              // number of jobs from which they are made again: a hundredth more
}

// callback is a trouble that comes back after a case.
type callback struct {
	at    time.Time
	of    int
	model int
	with  *trouble
}

func newShop(tb testing.TB, b *kb.Base, p *plan) *shop {
	s := &shop{tb: tb, plan: p, truth: newTruth(tb, b, p), teacher: newTeacher(b), rng: rand.New(rand.NewPCG(p.seed, 2))}
	e, err := s.teacher.family(p.family)
	if err != nil {
		tb.Fatal(err)
	}
	s.engines = e
	s.writeScript()
	return s
}

// writeScript finds the symptoms that tell most a minute when nothing is known,
// by the base as authored.
func (s *shop) writeScript() {
	b, err := s.engines.authored.Believe(nil)
	if err != nil {
		s.tb.Fatal(err)
	}
	r := b.Rank(ranker.Options{Detail: 1, Then: 1})
	for i := range r.Checks {
		if c := &r.Checks[i]; c.Kind == kb.KindSymptom && len(s.script) < scripted {
			s.script = append(s.script, s.engines.authored.Model().ObservableIndex(c.Kind, c.ID))
		}
	}
}

// dispatch chooses the symptoms that a customer is asked about, without a look
// at what is the matter. A customer's own words would name what is there and
// leave out what is not, and the tables would drift towards "yes".
func (s *shop) dispatch(rng *rand.Rand) []int {
	asked := slices.Clone(s.script)
	list := s.truth.family.Observables
	for len(asked) < scripted+atRandom {
		if i := rng.IntN(len(list)); list[i].Kind == kb.KindSymptom && !slices.Contains(asked, i) {
			asked = append(asked, i)
		}
	}
	return asked
}

// next works the next job: a trouble that comes back, or else the next call.
func (s *shop) next() {
	call := firstDay.Add(time.Duration(float64(s.calls) / float64(s.plan.perSeason) * float64(year)))
	if len(s.coming) > 0 && s.coming[0].at.Before(call) {
		c := s.coming[0]
		s.coming = s.coming[1:]
		s.work(c.with, c.model, c.at, c.of)
		return
	}
	s.calls++
	model := s.rng.IntN(len(s.plan.models))
	s.work(breakDown(s.rng, s.truth.worlds[s.truth.era(call)][model]), model, call, -1)
}

const (
	day  = 24 * time.Hour
	year = 365*day + day/4
)

// work works a job from its opening to its closing and learns from it, as
// package score does of jobs in the order of time. Of is the case that it is
// the callback of, or -1.
func (s *shop) work(t *trouble, model int, at time.Time, of int) {
	n := len(s.cases)
	job := &kb.Job{ID: fmt.Sprint(n), Family: s.plan.family, Model: s.plan.models[model], Opened: at}
	if of >= 0 {
		s.cases[of].Back = job
		s.teacher.learn(&s.cases[of], cameBack)
	}
	if n >= s.relearn {
		s.advice, s.relearn = s.learnedBy(at), n+max(1, n/100)
	}
	v := newVisit(s.tb, t, s.dispatch(s.rng), s.advice[model])
	v.late = seemHeld
	there := t.names()
	v.work()
	s.sayMinutes(v)
	closing, right := s.close(v, there)
	closing.At, right.At = at.Add(worked), at.Add(worked)
	job.Acts, job.Closing = v.acts, closing
	s.cases, s.right = append(s.cases, Case{Job: job}), append(s.right, right)
	s.teacher.learn(&s.cases[n], closed)
	if of >= 0 {
		s.teacher.learn(&s.cases[of], backClosed)
	}
	if v.last >= 0 && !v.held {
		s.comesBack(v, model, closing.At)
	}
}

// comesBack makes the trouble that a visit left come back.
func (s *shop) comesBack(v *visit, model int, closed time.Time) {
	days := firstBack + (lastBack-firstBack)*s.rng.Float64()
	s.coming = append(s.coming, callback{at: closed.Add(time.Duration(days * float64(day))), of: len(s.cases) - 1, model: model,
		with: newTrouble(s.rng, v.world, v.roots, v.present)})
	slices.SortFunc(s.coming, func(a, b callback) int { return a.at.Compare(b.at) })
}

// learnedBy makes engines of what the shop learned, one for each model.
func (s *shop) learnedBy(now time.Time) (list []*ranker.Engine) {
	for _, model := range s.plan.models {
		if err := s.teacher.as(s.engines, s.plan.family, model, now); err != nil {
			s.tb.Fatal(err)
		}
		list = append(list, s.engines.learned)
	}
	return list
}
