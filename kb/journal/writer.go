package journal

import (
	"bytes"
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
	fresh   map[string]*freshJob
}

// freshJob is a job of which no event was there before this transaction.
type freshJob struct {
	events []Event
	last   uint64 // arrival number of the newest of them
}

func newWriter(tx *bolt.Tx) (*writer, error) {
	t, err := tablesOf(tx)
	if err != nil {
		return nil, err
	}
	last, err := t.lastSeq()
	// Arrival numbers rise, and so do the keys that end in them.
	for _, b := range []*bolt.Bucket{t.events, t.byJob, t.byKind, t.callbacks} {
		b.FillPercent = appendFill
	}
	return &writer{tables: t, last: last, touched: make(map[string]bool), fresh: make(map[string]*freshJob)}, err
}

// has tells whether the event is there; another one under its id is an error.
func (w *writer) has(e prepared) (bool, error) {
	seq, ok := seqOf(w.ids.Get([]byte(e.ID)))
	if !ok {
		return false, nil
	}
	old, err := w.event(seq)
	if err != nil {
		return false, err
	}
	// The stored one is written anew, since an older program may have ordered its
	// fields differently.
	if rec, err := encodeEvent(old.normalized()); err == nil && bytes.Equal(rec, e.rec) {
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
func (w *writer) add(e prepared) error {
	w.last++
	if err := w.events.Put(seqKey(w.last), e.rec); err != nil {
		return err
	}
	for _, entry := range entriesOf(e.Event, w.last) {
		if err := entry.bucket(w.tables).Put(entry.key, entry.value); err != nil {
			return err
		}
	}
	w.touch(e.Event)
	return w.addPhrase(e.Event)
}

// touch marks the job of an event to be folded. Of a job that is not there yet it
// keeps the events, which need not be read back then.
func (w *writer) touch(e Event) {
	if e.Job == "" {
		return
	}
	if !w.touched[e.Job] && w.jobs.Get(jobKey(e.Job)) == nil {
		w.fresh[e.Job] = new(freshJob)
	}
	w.touched[e.Job] = true
	if f := w.fresh[e.Job]; f != nil {
		f.events, f.last = append(f.events, e), w.last
	}
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
		events, last, err := w.allOf(id)
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

// allOf returns the events of a job, and the arrival number of the last one.
func (w *writer) allOf(job string) ([]Event, uint64, error) {
	if f := w.fresh[job]; f != nil {
		return f.events, f.last, nil
	}
	return w.eventsOf(job)
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
