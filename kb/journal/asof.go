package journal

import (
	"cmp"
	"slices"
	"strings"

	bolt "go.etcd.io/bbolt"

	"sootsayer/kb"
)

// JobAsOf returns a job as its events up to an arrival number make it; there is
// false when none of these names it. So whoever worked something out from the
// jobs when the journal was that long can take a job back as it was then.
func (s *Store) JobAsOf(id string, seq uint64) (job kb.Job, there bool, err error) {
	err = s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		job, there, err = t.jobAsOf(id, seq)
		return err
	})
	return job, there, err
}

// CallbacksAsOf returns the jobs that the events up to an arrival number make
// callbacks of a job, in the order in which they were opened.
func (s *Store) CallbacksAsOf(of string, seq uint64) (jobs []kb.Job, err error) {
	err = s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		openings, _, err := t.eventsUpTo(t.callbacks, of, seq)
		if err != nil {
			return err
		}
		seen := make(map[string]bool, len(openings))
		for _, e := range openings {
			if seen[e.Job] {
				continue
			}
			seen[e.Job] = true
			job, _, err := t.jobAsOf(e.Job, seq)
			if err != nil {
				return err
			}
			if job.CallbackOf == of { // another opening of the same job may say otherwise
				jobs = append(jobs, job)
			}
		}
		return nil
	})
	slices.SortFunc(jobs, func(a, b kb.Job) int {
		return cmp.Or(a.Opened.Compare(b.Opened), strings.Compare(a.ID, b.ID))
	})
	return jobs, err
}

// jobAsOf takes the job that is kept where no event came later.
func (t tables) jobAsOf(id string, seq uint64) (kb.Job, bool, error) {
	rec := t.jobs.Get(jobKey(id))
	if rec == nil {
		return kb.Job{}, false, nil
	}
	r, err := decodeJobUpTo(rec, seq)
	if err != nil {
		return kb.Job{}, false, damaged("job %q: %v", id, err)
	}
	if r.seq <= seq {
		return r.job, true, nil
	}
	events, _, err := t.eventsUpTo(t.byJob, id, seq)
	if err != nil || len(events) == 0 {
		return kb.Job{}, false, err
	}
	return FoldJob(events), true, nil
}
