package journal

import (
	"slices"
	"strconv"

	bolt "go.etcd.io/bbolt"

	"sootsayer/kb"
)

// Entry is an event with its arrival number, counted from 1 without gaps.
type Entry struct {
	Seq uint64
	Event
}

// Job returns a job as its events make it; the error matches ErrNoJob when no
// event names it.
func (s *Store) Job(id string) (kb.Job, error) {
	var r jobRecord
	err := s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		rec := t.jobs.Get(jobKey(id))
		if rec == nil {
			return fail(ErrNoJob, "there is no job %q; `sootsayer job list` shows those there are", id)
		}
		if r, err = decodeJob(rec); err != nil {
			return damaged("job %q: %v", id, err)
		}
		return nil
	})
	return r.job, err
}

// Events returns the events of a job in the order of (at, id); none when no
// event names the job.
func (s *Store) Events(job string) ([]Event, error) {
	var events []Event
	err := s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		events, _, err = t.eventsOf(job)
		return err
	})
	slices.SortFunc(events, Compare)
	return events, err
}

// Seq returns the number of events, which is the arrival number of the newest.
func (s *Store) Seq() (uint64, error) {
	var n uint64
	err := s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		n, err = t.lastSeq()
		return err
	})
	return n, err
}

// ID returns the name of this journal, drawn by lot when it was made. Arrival
// numbers mean something only together with it: a salvaged journal numbers its
// events anew and has another ID.
func (s *Store) ID() (string, error) {
	var id string
	err := s.view(func(tx *bolt.Tx) error {
		body, err := decodeRecord(tx.Bucket(bucketMeta).Get([]byte(metaStore)))
		if err != nil {
			return damaged("its name cannot be read: %v", err)
		}
		id = string(body)
		return nil
	})
	return id, err
}

// NextJobID returns the number after the greatest job number, "1" when there
// is none. Two callers may get the same one: to open a job use OpenJob.
func (s *Store) NextJobID() (string, error) {
	var id string
	err := s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		id, err = nextJobID(t.jobs)
		return err
	})
	return id, err
}

// nextJobID looks before the first job whose id is text: that is where the
// greatest number stands.
func nextJobID(jobs *bolt.Bucket) (string, error) {
	c := jobs.Cursor()
	k, _ := c.Seek([]byte{jobText})
	if k == nil {
		k, _ = c.Last()
	} else {
		k, _ = c.Prev()
	}
	if k == nil {
		return "1", nil
	}
	id, ok := jobOf(k)
	n, numeric := jobNumberOf(id)
	if !ok || !numeric {
		return "", damaged("there is a job under the key %q", k)
	}
	next := strconv.FormatInt(n+1, 10)
	if len(next) > maxDigits {
		return "", fail(ErrInvalid, "no job number is left after %s; give the job an id of your own", id)
	}
	return next, nil
}

// Phrases returns what people's words were taken to mean, by family, symptom
// and phrase.
func (s *Store) Phrases() ([]Phrase, error) {
	var all []Phrase
	err := s.view(func(tx *bolt.Tx) error {
		t, err := tablesOf(tx)
		if err != nil {
			return err
		}
		return t.phrases.ForEach(func(k, rec []byte) error {
			p, err := decodePhrase(rec)
			if err != nil {
				return damaged("the phrase under the key %q: %v", k, err)
			}
			all = append(all, p)
			return nil
		})
	})
	return all, err
}

// UnbookedParts returns the part.used events that no closing of a job counts,
// in the order of (at, id): those that name no job and those of jobs that are
// open. A job's closings count all others in Used, so these events and the
// closings, past ones too, together are every piece used, each once.
func (s *Store) UnbookedParts() ([]Event, error) {
	var loose []Event
	done := make(map[string]bool)
	for e, err := range s.EventsOf(KindPartUsed) {
		switch {
		case err != nil:
			return nil, err
		case e.Job == "":
			loose = append(loose, e.Event)
		case !done[e.Job]:
			done[e.Job] = true
			events, err := s.Events(e.Job)
			if err != nil {
				return nil, err
			}
			_, open := foldJob(events)
			loose = append(loose, open...)
		}
	}
	slices.SortFunc(loose, Compare)
	return loose, nil
}
