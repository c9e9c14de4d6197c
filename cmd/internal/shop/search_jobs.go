package shop

import (
	"context"
	"errors"
	"iter"
	"path/filepath"

	"sootsayer/index"
	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// FindJobs returns the closed jobs that hold words of a query, with x the index
// that Index returned. Jobs that were closed or changed since the last search
// among them are taken in first; progress is told how many so far.
func (s *Shop) FindJobs(ctx context.Context, x *index.Index, q index.Query, progress func(jobs int)) ([]index.Hit, error) {
	if s.journal == nil {
		return nil, nil
	}
	jobs, err := x.OpenJobs(s.jobIndexDir(), s.base, jobSource{s}, index.JobOptions{Log: s.cfg.Notice, Now: s.cfg.Now, Progress: progress})
	if err != nil {
		return nil, err
	}
	hits, err := jobs.Search(ctx, q)
	if err = errors.Join(err, jobs.Close()); err != nil {
		return nil, err
	}
	return hits, s.markCameBack(hits)
}

// markCameBack tells of jobs that were found as which one they came back.
func (s *Shop) markCameBack(hits []index.Hit) error {
	seq, err := s.journal.Seq()
	if err != nil {
		return err
	}
	for i := range hits {
		callbacks, err := s.journal.CallbacksAsOf(hits[i].ID, seq)
		if err != nil {
			return err
		}
		if len(callbacks) > 0 {
			hits[i].Job.CameBackAs = callbacks[0].ID
		}
	}
	return nil
}

// AnyClosed tells whether any job is closed.
func (s *Shop) AnyClosed() bool {
	if s.journal == nil {
		return false
	}
	for j, err := range s.journal.Jobs() {
		if err != nil || j.Closed() {
			return err == nil
		}
	}
	return false
}

func (s *Shop) jobIndexDir() string { return filepath.Join(s.cfg.Store, "index", "jobs") }

// jobSource lets the index read past jobs, in today's ids, from the journal.
type jobSource struct{ shop *Shop }

// Stamp implements [index.JobSource].
func (r jobSource) Stamp() (index.JobStamp, error) {
	id, err := r.shop.journal.ID()
	if err != nil {
		return index.JobStamp{}, err
	}
	seq, err := r.shop.journal.Seq()
	if err != nil {
		return index.JobStamp{}, err
	}
	last, err := r.EventAt(seq)
	return index.JobStamp{Journal: id, Seq: seq, Last: last}, err
}

// EventAt implements [index.JobSource].
func (r jobSource) EventAt(seq uint64) (string, error) {
	if seq == 0 {
		return "", nil
	}
	for e, err := range r.shop.journal.EventsSince(seq - 1) {
		return e.ID, err
	}
	return "", nil
}

// All implements [index.JobSource].
func (r jobSource) All() iter.Seq2[index.PastJob, error] {
	return func(yield func(index.PastJob, error) bool) {
		for j, err := range r.shop.journal.Jobs() {
			if err == nil && !j.Closed() {
				continue
			}
			var past index.PastJob
			if err == nil {
				past, err = r.past(&j)
			}
			if !yield(past, err) || err != nil {
				return
			}
		}
	}
}

// ChangedSince implements [index.JobSource].
func (r jobSource) ChangedSince(seq uint64) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		for e, err := range r.shop.journal.EventsSince(seq) {
			if !yield(e.Job, err) {
				return
			}
		}
	}
}

// Closed implements [index.JobSource].
func (r jobSource) Closed(id string) (index.PastJob, bool, error) {
	j, err := r.shop.journal.Job(id)
	if errors.Is(err, journal.ErrNoJob) {
		return index.PastJob{}, false, nil
	}
	if err != nil || !j.Closed() {
		return index.PastJob{}, false, err
	}
	past, err := r.past(&j)
	return past, err == nil, err
}

// past is what is searched of a closed job; only one that was opened again
// needs its events.
func (r jobSource) past(was *kb.Job) (index.PastJob, error) {
	j := r.shop.renamed(*was)
	c := j.Closing
	past := index.PastJob{ID: j.ID, Family: j.Family, Model: j.Model, Appliance: j.Appliance, Closed: c.At, Causes: c.Causes,
		OneOf: c.OneOf, Confidence: c.Confidence, Complaint: j.Complaint}
	for i := range j.Past {
		past.Notes = append(past.Notes, j.Past[i].Note)
	}
	past.Notes = append(past.Notes, c.Note)
	if len(j.Past) == 0 {
		return past, nil
	}
	events, err := r.shop.journal.Events(j.ID)
	if err != nil {
		return past, err
	}
	for _, e := range reopenings(events) {
		past.Reasons = append(past.Reasons, e.Reason)
	}
	return past, nil
}
