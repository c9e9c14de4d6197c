package journal

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"runtime"
	"slices"
	"sync"
	"time"

	bolt "go.etcd.io/bbolt"
)

// batchSize is how many events AppendBatches writes in one transaction.
const batchSize = 5000

// appendFill is how full bolt fills pages whose keys rise: nearly, since they are
// only ever added at the end.
const appendFill = 0.9

// NewEvent returns an event of now with a fresh id; the payload is for the
// caller to set.
func (s *Store) NewEvent(kind Kind, job, by string) Event {
	// Times are read by people, who have no use for anything finer.
	at := s.opt.Now().UTC().Truncate(time.Millisecond)
	return Event{ID: NewEventID(at), At: at, By: by, Kind: kind, Job: job, V: EventVersion}
}

// Append records events, all or none, and returns how many of them were new.
// When it returns without an error they are on the disk and the jobs are up to
// date. An event that is there already changes nothing; one whose id is taken
// by another event is an error matching ErrConflict, and one that Validate
// refuses an error matching ErrInvalid or ErrNewer.
func (s *Store) Append(events ...Event) (added int, err error) {
	ready, err := prepare(events)
	if err != nil || len(ready) == 0 {
		return 0, err
	}
	err = s.update(func(tx *bolt.Tx) error {
		added, err = appendNew(tx, ready)
		return err
	})
	if err != nil {
		return 0, err
	}
	return added, nil
}

// AppendBatches records many events, in the order of (at, id) and a few
// thousand in one transaction. They are all validated first. When it fails on
// the way, or ctx is done, the earlier batches stay, and doing it again goes on
// from there; added counts what is new either way.
func (s *Store) AppendBatches(ctx context.Context, events []Event) (added int, err error) {
	ready, err := prepare(events)
	if err != nil {
		return 0, err
	}
	slices.SortStableFunc(ready, func(a, b prepared) int { return Compare(a.Event, b.Event) })
	for batch := range slices.Chunk(ready, batchSize) {
		if err := ctx.Err(); err != nil {
			return added, err
		}
		var n int
		err := s.update(func(tx *bolt.Tx) error {
			var err error
			n, err = appendNew(tx, batch)
			return err
		})
		if err != nil {
			return added, err
		}
		added += n
	}
	return added, nil
}

// OpenJob finds the next free job number, records what build makes of it and
// returns the number. Two people who open a job at once get two jobs. build may
// be called more than once; its events need not all name the job.
func (s *Store) OpenJob(build func(job string) []Event) (job string, err error) {
	for taken := true; taken; {
		if job, err = s.NextJobID(); err != nil {
			return "", err
		}
		ready, err := prepare(build(job))
		if err != nil {
			return "", err
		}
		err = s.update(func(tx *bolt.Tx) error {
			t, err := tablesOf(tx)
			if err != nil {
				return err
			}
			if taken = t.jobs.Get(jobKey(job)) != nil; taken {
				return nil
			}
			_, err = appendNew(tx, ready)
			return err
		})
		if err != nil {
			return "", err
		}
	}
	return job, nil
}

// prepared is an event as it will be read back, with its record.
type prepared struct {
	Event
	rec []byte
}

// prepare validates all events and returns them as they will be read back, so
// that a job folded now and one folded from the file are the same. Many are
// shared out to all processors; of errors the first in order is returned.
func prepare(events []Event) ([]prepared, error) {
	const share = 500 // events that are worth a goroutine
	ready := make([]prepared, len(events))
	workers := min(runtime.GOMAXPROCS(0), len(events)/share+1)
	errs := make([]error, workers)
	var wg sync.WaitGroup
	for w := range workers {
		from, to := w*len(events)/workers, (w+1)*len(events)/workers
		wg.Go(func() {
			for i := from; i < to && errs[w] == nil; i++ {
				ready[i], errs[w] = prepareOne(events[i])
			}
		})
	}
	wg.Wait()
	if err := cmp.Or(errs...); err != nil {
		return nil, err
	}
	return ready, nil
}

func prepareOne(e Event) (prepared, error) {
	if err := e.Validate(); err != nil {
		return prepared{}, err
	}
	text, err := e.normalized().MarshalJSON()
	if err != nil {
		return prepared{}, fail(ErrInvalid, "%s cannot be written as JSON: %v", e.name(), err)
	}
	if len(text) > maxEvent {
		return prepared{}, fail(ErrInvalid, "%s is %d bytes long as JSON; keep it to %d", e.name(), len(text), maxEvent)
	}
	p, err := readBack(e, text)
	if err != nil {
		return p, fail(ErrInvalid, "%s cannot be read back: %v", e.name(), err)
	}
	return p, nil
}

// readBack reads the JSON of an event again. Where that may change it - bytes
// that are no UTF-8 text were written as \ufffd, and what stands in fields of any
// JSON is put in order - it is written once more.
func readBack(e Event, text []byte) (p prepared, err error) {
	if len(e.Extra) == 0 && e.Change == nil && !bytes.Contains(text, []byte(`\ufffd`)) {
		p.rec = encodeRecord(text)
		return p, json.Unmarshal(text, (*plainEvent)(&p.Event))
	}
	if err = p.UnmarshalJSON(text); err == nil {
		p.rec, err = encodeEvent(p.Event)
	}
	return p, err
}

// appendNew writes those events that are not there yet.
func appendNew(tx *bolt.Tx, events []prepared) (added int, err error) {
	w, err := newWriter(tx)
	if err != nil {
		return 0, err
	}
	for _, e := range events {
		there, err := w.has(e)
		if err != nil {
			return 0, err
		}
		if there {
			continue
		}
		if err := w.add(e); err != nil {
			return 0, err
		}
		added++
	}
	return added, w.refold()
}

// appendAll writes events that are known to be new.
func appendAll(tx *bolt.Tx, events []Event) error {
	w, err := newWriter(tx)
	if err != nil {
		return err
	}
	for _, e := range events {
		rec, err := encodeEvent(e)
		if err != nil {
			return err
		}
		if err := w.add(prepared{e, rec}); err != nil {
			return err
		}
	}
	return w.refold()
}
