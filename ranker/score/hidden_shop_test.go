package score

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"sootsayer/kb"
)

// plan says what a simulated shop is like.
type plan struct {
	seed      uint64
	family    string
	jobs      int      // closed ones, callbacks among them
	perSeason int      // calls
	models    []string // of equipment
	drift     bool
	driftFrom time.Time
	wrong     float64 // share of jobs closed with a wrong cause
	late      float64 // share of the fixes that do not hold which seem to at first
	perfect   bool
}

// Habits of the simulated shop.
const (
	scripted = 6    // symptoms that the dispatcher always asks about
	atRandom = 2    // and others
	unsure   = 0.1  // share of the jobs closed with sureOf
	sureOf   = 0.7  // their stated confidence
	hours    = 1.5  // from the opening of a job to its closing
	soonest  = 1.0  // days until a callback
	latest   = 25.0 // likewise
)

// shop works and learns.
type shop struct {
	tb      testing.TB
	plan    *plan
	truth   *truth
	teacher *teacher
	engines *engines
	script  []int // symptoms
	rng     *rand.Rand
	begin   time.Time
	cases   []Case
	coming  []callback // sorted by time
	calls   int
}

// callback is a trouble that will come back.
type callback struct {
	at   time.Time
	of   int // case
	with *trouble
}

func newShop(tb testing.TB, b *kb.Base, p *plan) *shop {
	s := &shop{tb: tb, plan: p, truth: newTruth(tb, b, p), teacher: newTeacher(b), rng: rand.New(rand.NewPCG(p.seed, 2)), begin: firstDay}
	e, err := s.teacher.family(p.family)
	if err != nil {
		tb.Fatal(err)
	}
	s.engines = e
	s.script = scriptOf(tb, e)
	return s
}

var firstDay = time.Date(2020, time.July, 1, 8, 0, 0, 0, time.UTC)

// next works the next job: the one that comes back before the next call, or
// else that call.
func (s *shop) next() {
	call := s.begin.Add(time.Duration(float64(s.calls) / float64(s.plan.perSeason) * 365.25 * 24 * float64(time.Hour)))
	if len(s.coming) > 0 && s.coming[0].at.Before(call) {
		c := s.coming[0]
		s.coming = s.coming[1:]
		s.work(c.with, c.at, c.of)
		return
	}
	s.calls++
	model := s.rng.IntN(len(s.plan.models))
	t := breakDown(s.rng, s.truth.at(model, call))
	t.model, t.ask = model, asked8(s.rng, s.script, t.world.Model)
	s.work(t, call, -1)
}

// work works a job from its opening to its closing, and learns from it.
func (s *shop) work(t *trouble, at time.Time, of int) {
	job := &kb.Job{ID: fmt.Sprint(len(s.cases)), Family: s.plan.family, Model: s.plan.models[t.model], Opened: at}
	if of >= 0 {
		back := *job
		s.cases[of].Back = &back
		s.teacher.learn(&s.cases[of], cameBack)
	}
	if err := s.teacher.as(s.engines, job.Family, job.Model, at); err != nil {
		s.tb.Fatal(err)
	}
	v := newVisit(s.tb, t, s.engines.learned)
	v.late = s.plan.late
	began := t.names()
	v.work()
	s.state(v)
	job.Acts = v.acts
	job.Closing = s.closing(v, began)
	job.Closing.At = at.Add(time.Duration(hours * float64(time.Hour)))
	s.cases = append(s.cases, Case{Job: job})
	s.teacher.learn(&s.cases[len(s.cases)-1], closed)
	if of >= 0 {
		s.teacher.learn(&Case{Job: s.cases[of].Job, Back: job}, backClosed)
		s.cases[of].Back = job
	}
	if v.last >= 0 && !v.held {
		s.comesBack(t, job.Closing.At)
	}
}

// state states how long everything took: log-normal around the hidden mean.
func (s *shop) state(v *visit) {
	for i := range v.acts {
		a := &v.acts[i]
		if a.Finding != nil {
			a.Finding.Minutes = s.lasted(v.world.Observables[v.world.ObservableIndex(a.Finding.Kind, a.Finding.ID)].Minutes)
		} else {
			a.Minutes = s.lasted(fixMinutes(v.world.Model, v.world.FixIndex(a.Tried)))
		}
	}
}

func (s *shop) lasted(mean float64) float64 {
	return mean * math.Exp(math.Sqrt(minutesVariance)*s.rng.NormFloat64()-minutesVariance/2)
}

// fixMinutes are those of a fix with its proof.
func fixMinutes(m *kb.Model, fix int) float64 {
	t := m.Fixes[fix].Minutes
	if p := m.Fixes[fix].Proof; p >= 0 {
		t += m.Observables[p].Minutes
	}
	return t
}

// closing closes a job with what was there, which taking things apart or the
// support showed; now and then with another cause that seemed as likely. Who is
// not sure is wrong more often.
func (s *shop) closing(v *visit, began []string) *kb.Closing {
	c := &kb.Closing{Causes: began, Confidence: 1}
	if v.last >= 0 {
		c.Fixes, c.FixMinutes = []string{v.world.Fixes[v.last].ID}, s.lasted(fixMinutes(v.world.Model, v.last))
	}
	wrong := s.plan.wrong * (1 - 4*unsure) / (1 - unsure)
	if s.rng.Float64() < unsure {
		c.Confidence, wrong = sureOf, 4*s.plan.wrong
	}
	if s.rng.Float64() < wrong {
		seemed := forecastOf(v.belief)
		for k := range seemed {
			if k < len(v.world.Causes) && slices.Contains(began, v.world.Causes[k].ID) || k == len(v.world.Causes) && slices.Contains(began, kb.Unlisted) {
				seemed[k] = 0
			}
		}
		c.Causes = []string{kb.Unlisted}
		if k := drawWeighted(s.rng, seemed); k < len(v.world.Causes) {
			c.Causes = []string{v.world.Causes[k].ID}
		}
	}
	return c
}

// drawWeighted draws by weights of any sum.
func drawWeighted(rng *rand.Rand, w []float64) int {
	var sum float64
	for _, v := range w {
		sum += v
	}
	return quantile(w, rng.Float64()*sum)
}

// comesBack makes the same trouble come back within the window for callbacks.
func (s *shop) comesBack(t *trouble, closed time.Time) {
	days := soonest + (latest-soonest)*s.rng.Float64()
	again := breakDown(s.rng, t.world)
	again.model, again.roots, again.present, again.ask = t.model, t.roots, slices.Clone(t.present), asked8(s.rng, s.script, t.world.Model)
	s.coming = append(s.coming, callback{closed.Add(time.Duration(days * 24 * float64(time.Hour))), len(s.cases) - 1, again})
	slices.SortFunc(s.coming, func(a, b callback) int { return a.at.Compare(b.at) })
}

// scriptOf are the symptoms that tell most a minute when nothing is known, by
// the base as authored: the dispatcher asks about them whatever is the matter.
func scriptOf(tb testing.TB, e *engines) (script []int) {
	b, err := e.authored.Believe(nil)
	if err != nil {
		tb.Fatal(err)
	}
	r := b.Rank(rankAll)
	for i := range r.Checks {
		if c := &r.Checks[i]; c.Kind == kb.KindSymptom && len(script) < scripted {
			script = append(script, e.authored.Model().ObservableIndex(c.Kind, c.ID))
		}
	}
	return script
}

// asked8 are the symptoms that the dispatcher asks about, whether they are there
// or not: a customer's own words would name those that are there, and leave out
// those that are not, so that tables would drift towards "yes".
func asked8(rng *rand.Rand, script []int, m *kb.Model) []int {
	ask := slices.Clone(script)
	for len(ask) < scripted+atRandom {
		if i := rng.IntN(len(m.Observables)); m.Observables[i].Kind == kb.KindSymptom && !slices.Contains(ask, i) {
			ask = append(ask, i)
		}
	}
	return ask
}
