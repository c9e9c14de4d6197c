package score

import (
	"slices"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// mostMoments bounds the findings after which a job is predicted, so that a job
// with very many cannot hold up the rest. It is predicted with all of them too.
const mostMoments = 30

// prediction is what was said of one job as it went on, and what it was.
type prediction struct {
	job      *kb.Job
	truth    []int           // classes of its root causes
	said     []By[[]float64] // forecasts at the complaint and after each further finding
	foreseen float64         // minutes to a cure, by the advice at the complaint
	left     []kb.Missing    // what was recorded and the base does not have
}

// why a job is not scored.
const (
	scored = iota
	unknownCause
	returned
	oneOf
	impossible
)

// predict predicts a job from what the teacher has learned, or says why it
// cannot be scored.
func (t *teacher) predict(c *Case) (*prediction, int, error) {
	job := c.Job
	roots, unlisted, unknown := t.counts.Roots(job.Family, job.Closing)
	if unlisted {
		roots = append(roots, kb.Unlisted)
	}
	switch {
	case len(unknown) > 0 || len(roots) == 0:
		return nil, unknownCause, nil
	case c.Back != nil:
		return nil, returned, nil
	case job.Closing.OneOf:
		return nil, oneOf, nil
	}
	e, err := t.family(job.Family)
	if err != nil {
		return nil, 0, err
	}
	if err := t.as(e, job.Family, job.Model, job.Opened); err != nil {
		return nil, 0, err
	}
	p := &prediction{job: job}
	for _, id := range roots {
		p.truth = append(p.truth, e.classes[id])
	}
	if !p.follow(t.base, e) {
		return nil, impossible, nil
	}
	return p, scored, nil
}

// follow predicts the job at each moment, and tells whether that was possible:
// without a floor under the tables, findings may contradict each other.
func (p *prediction) follow(b *kb.Base, e *engines) bool {
	acts, left := b.KnownActs(p.job)
	p.left = left
	ends := moments(acts)
	if n := len(ends); n > mostMoments+1 {
		ends = append(slices.Clone(ends[:mostMoments]), ends[n-1])
	}
	for i, n := range ends {
		learned, err := e.learned.Believe(acts[:n])
		if err != nil {
			return false
		}
		authored, err := e.authored.Believe(acts[:n])
		if err != nil {
			return false
		}
		if i == 0 && p.job.Closing.Minutes > 0 {
			p.foreseen = learned.Rank(ranker.Options{Detail: 1, Then: 1}).Advice.ExpectedMinutes
		}
		p.said = append(p.said, By[[]float64]{Learned: forecastOf(learned), Authored: forecastOf(authored), Commonest: e.shares})
	}
	return true
}
