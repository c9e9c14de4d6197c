package shop

import (
	"context"
	"time"

	"sootsayer/ranker/score"
)

// ScoreOptions say which jobs are scored.
type ScoreOptions struct {
	From     time.Time            // jobs opened before it only teach
	Family   string               // jobs of other families only teach; "" for all
	Progress func(done, jobs int) // told after each job; nil: nobody
}

// Score predicts every closed job from those before it. It reads all jobs into
// memory.
func (s *Shop) Score(ctx context.Context, o ScoreOptions) (*score.Report, error) {
	cases, err := s.cases()
	if err != nil {
		return nil, err
	}
	return score.Run(s.base, cases, score.Options{From: o.From, Family: o.Family, Each: func(done, of int) error {
		if o.Progress != nil {
			o.Progress(done, of)
		}
		return ctx.Err()
	}})
}

// cases are the closed jobs, each with the callback that was opened for it
// within the callback window.
func (s *Shop) cases() ([]score.Case, error) {
	if s.journal == nil {
		return nil, nil
	}
	seq, err := s.journal.Seq()
	if err != nil {
		return nil, err
	}
	var cases []score.Case
	for j, err := range s.Jobs() {
		if err != nil {
			return nil, err
		}
		c, err := s.counting(&j, seq)
		if err != nil {
			return nil, err
		}
		if !c.none() {
			cases = append(cases, score.Case{Job: c.job, Back: c.back})
		}
	}
	return cases, nil
}
