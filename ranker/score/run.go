package score

import (
	"fmt"
	"time"

	"sootsayer/kb"
)

// Options say what is scored. The zero value scores every job.
type Options struct {
	From   time.Time // jobs opened before it only teach
	Family string    // jobs of other families only teach; "" for all

	// Each is told after each job how many of them are done; an error that it
	// returns ends the pass. Nil: nobody is told.
	Each func(done, of int) error
}

// Run predicts the cases in the order of time, whatever order they come in,
// each from those before it, and scores the predictions. The base must have
// passed lint; every case must be closed, and named in the ids of the base.
func Run(b *kb.Base, cases []Case, opt Options) (*Report, error) {
	r, err := run(b, cases, &opt)
	if err != nil {
		return nil, err
	}
	return r.report(&opt), nil
}

func run(b *kb.Base, cases []Case, opt *Options) (*record, error) {
	for i := range cases {
		if !cases[i].Job.Closed() {
			return nil, fmt.Errorf("job %s is open; only closed jobs can be scored", cases[i].Job.ID)
		}
	}
	t, r := newTeacher(b), newRecord()
	done := 0
	for _, e := range timeline(cases) {
		c := &cases[e.of]
		if e.what != predicted {
			t.learn(c, e.what)
			continue
		}
		if err := r.take(t, c, opt); err != nil {
			return nil, fmt.Errorf("job %s cannot be predicted: %w", c.Job.ID, err)
		}
		done++
		if opt.Each == nil {
			continue
		}
		if err := opt.Each(done, len(cases)); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// take predicts a case and adds it, where it is to be scored.
func (r *record) take(t *teacher, c *Case, opt *Options) error {
	r.jobs.Closed++
	switch {
	case c.Job.Opened.Before(opt.From):
		r.jobs.Earlier++
		return nil
	case opt.Family != "" && c.Job.Family != opt.Family:
		r.jobs.Elsewhere++
		return nil
	}
	p, why, err := t.predict(c)
	if err != nil {
		return err
	}
	switch why {
	case scored:
		r.add(p)
	case unknownCause:
		r.jobs.UnknownCause++
	case returned:
		r.jobs.CameBack++
	case oneOf:
		r.jobs.OneOf++
	case impossible:
		r.jobs.Impossible++
	}
	return nil
}
