package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// writer appends events within one transaction.
type writer struct {
	tables
	last    uint64          // arrival number of the newest event
	touched map[string]bool // jobs to fold anew
}

func newWriter(tx *bolt.Tx) (*writer, error) {
	t, err := tablesOf(tx)
	if err != nil {
		return nil, err
	}
	last, err := t.lastSeq()
	t.events.FillPercent = appendFill
	return &writer{tables: t, last: last, touched: make(map[string]bool)}, err
}

// has tells whether the event is there; another one under its id is an error.
func (w *writer) has(e Event) (bool, error) {
	seq, ok := seqOf(w.ids.Get([]byte(e.ID)))
	if !ok {
		return false, nil
	}
	old, err := w.event(seq)
	if err != nil {
		return false, err
	}
	// Both are written now, since an older program may have ordered the fields
	// of the stored one differently.
	a, errA := json.Marshal(old.normalized())
	b, errB := json.Marshal(e)
	if errA == nil && errB == nil && bytes.Equal(a, b) {
		return true, nil
	}
	return false, fail(ErrConflict, "%s: its id is taken by an event with other content; nothing was recorded: give it an id of its own", e.name())
}

// event reads one event by its arrival number.
func (t tables) event(seq uint64) (Event, error) {
	rec := t.events.Get(seqKey(seq))
	if rec == nil {
		return Event{}, damaged("event number %d is missing", seq)
	}
	e, err := decodeEvent(rec)
	if err != nil {
		return Event{}, damaged("event number %d: %v", seq, err)
	}
	return e, nil
}

// add writes an event with its entries in all look-ups.
func (w *writer) add(e Event) error {
	rec, err := encodeEvent(e)
	if err != nil {
		return err
	}
	w.last++
	if err := w.events.Put(seqKey(w.last), rec); err != nil {
		return err
	}
	for _, entry := range entriesOf(e, w.last) {
		if err := entry.bucket(w.tables).Put(entry.key, entry.value); err != nil {
			return err
		}
	}
	if e.Job != "" {
		w.touched[e.Job] = true
	}
	return w.addPhrase(e)
}

func (w *writer) addPhrase(e Event) error {
	if e.Kind != KindPhraseChosen {
		return nil
	}
	p := phraseOf(e)
	if rec := w.phrases.Get(p.key()); rec != nil {
		old, err := decodePhrase(rec)
		if err != nil {
			return damaged("the phrase %q: %v", p.Phrase, err)
		}
		p = old.plus(p)
	}
	return putPhrase(w.phrases, p)
}

func putPhrase(phrases *bolt.Bucket, p Phrase) error {
	rec, err := encodePhrase(p)
	if err != nil {
		return err
	}
	return phrases.Put(p.key(), rec)
}

// refold works out the jobs of the events that were added, from all their
// events, so that the order of arrival cannot matter.
func (w *writer) refold() error {
	for _, id := range slices.Sorted(maps.Keys(w.touched)) {
		events, last, err := w.eventsOf(id)
		if err != nil {
			return err
		}
		rec, err := encodeJob(jobRecord{seq: last, job: FoldJob(events)})
		if err != nil {
			return fmt.Errorf("job %s cannot be written: %w", id, err)
		}
		if err := w.jobs.Put(jobKey(id), rec); err != nil {
			return err
		}
	}
	return nil
}

// eventsOf reads the events of a job in order of arrival, and the number of
// the last one.
func (t tables) eventsOf(job string) (events []Event, last uint64, err error) {
	return t.eventsUpTo(t.byJob, job, math.MaxUint64)
}

// eventsUpTo reads the events that a look-up by job lists for one, in order of
// arrival and up to an arrival number, and the number of the last one.
func (t tables) eventsUpTo(in *bolt.Bucket, job string, most uint64) (events []Event, last uint64, err error) {
	prefix := withSeq(jobKey(job), 0)
	prefix = prefix[:len(prefix)-8]
	c := in.Cursor()
	for k, _ := c.Seek(prefix); bytes.HasPrefix(k, prefix); k, _ = c.Next() {
		_, seq, ok := splitSeq(k)
		if !ok {
			continue
		}
		if seq > most {
			break
		}
		e, err := t.event(seq)
		if err != nil {
			return nil, 0, err
		}
		events, last = append(events, e), seq
	}
	return events, last, nil
}
