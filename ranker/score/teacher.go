package score

import (
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

// teacher is the shop at one moment of the pass: what it has learned by then and
// the engines made of that.
type teacher struct {
	base    *kb.Base
	counts  *learn.Counts
	taught  int // changes when anything was learned or taken back
	engines map[string]*engines
}

// engines of a family. Of the learned ones only the last is kept: the next one
// is made from it.
type engines struct {
	classes  classes
	authored *ranker.Engine
	learned  *ranker.Engine
	shares   []float64 // forecast of learned without findings

	taught int // of the teacher when learned was made
	model  string
	scale  float64
}

func newTeacher(b *kb.Base) *teacher {
	return &teacher{base: b, counts: learn.New(b), engines: make(map[string]*engines)}
}

// learn takes in one event of a case other than its prediction.
func (t *teacher) learn(c *Case, what int) {
	t.taught++
	switch what {
	case closed:
		t.counts.Add(c.Job)
	case cameBack:
		t.counts.Remove(c.Job)
		t.counts.AddCameBack(c.Job, stillOpen(c.Back))
	case backClosed:
		t.counts.RemoveCameBack(c.Job, stillOpen(c.Back))
		t.counts.AddCameBack(c.Job, c.Back)
	}
}

// stillOpen is a job as it was before it was closed.
func stillOpen(j *kb.Job) *kb.Job {
	open := *j
	open.Closing, open.Past = nil, nil
	return &open
}

// family returns the engines of a family without what was learned.
func (t *teacher) family(id string) (*engines, error) {
	if e := t.engines[id]; e != nil {
		return e, nil
	}
	m, err := kb.NewModel(t.base, id)
	if err != nil {
		return nil, err
	}
	e := &engines{classes: newClasses(m), authored: ranker.New(m)}
	t.engines[id] = e
	return e, nil
}

// as brings the learned engine of a family up to what was learned by now, for
// equipment of a model. Half-lives are counted by whole days, so that a day's
// jobs can share an engine.
func (t *teacher) as(e *engines, family, model string, now time.Time) error {
	day := now.UTC().Truncate(24 * time.Hour)
	scale := t.counts.Now(day)
	if e.learned != nil && e.taught == t.taught && e.model == model && e.scale == scale {
		return nil
	}
	earlier := e.learned
	if earlier == nil {
		earlier = e.authored
	}
	m, err := t.counts.Model(t.base, family, model, day)
	if err != nil {
		return err
	}
	e.learned = earlier.Relearn(m)
	e.taught, e.model, e.scale = t.taught, model, scale
	prior, err := e.learned.Believe(nil)
	if err != nil {
		return err
	}
	e.shares = forecastOf(prior)
	return nil
}
