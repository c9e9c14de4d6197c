package journal

import (
	"cmp"
	"errors"
	"os"
	"slices"

	"github.com/oklog/ulid/v2"
	bolt "go.etcd.io/bbolt"
)

// found is what can be read of a journal's events.
type found struct {
	events  map[string]Entry  // by id
	ids     map[string]uint64 // ids that were listed, with their numbers
	rescued int
	mayMiss bool
}

// findEvents reads a journal the usual way as far as that goes, and unless all
// is well then looks at every page. db is nil when bolt cannot open the file.
func findEvents(db *bolt.DB, file *os.File) (*found, error) {
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	f := &found{events: make(map[string]Entry), ids: make(map[string]uint64)}
	_, first := readHeader(file, 0)
	_, second := readHeader(file, 1)
	h, ok := newestHeader(file)
	f.mayMiss = !ok || int64(h.pages)*pageSize > info.Size()
	if db != nil && checkTree(file, true) == nil {
		err := guarded(func() error { return db.View(f.read) })
		if errors.Is(err, ErrNewer) || err == nil && first && second {
			return f, err
		}
	}
	reachable := len(f.events)
	err = carve(file, info.Size(), f.carved)
	f.rescued = len(f.events) - reachable
	return f, err
}

// read collects the events that bolt finds. Its error means that there may be
// more than it found.
func (f *found) read(tx *bolt.Tx) error {
	if version, err := metaNumber(tx, metaFormat); err == nil && version > thisFormat.version {
		return fail(ErrNewer, "this store was written by a newer sootsayer (format %d, this one reads up to %d); update sootsayer", version, thisFormat.version)
	}
	t, err := tablesOf(tx)
	if err != nil {
		return err
	}
	var bad error
	next := uint64(1)
	err = t.events.ForEach(func(k, rec []byte) error {
		seq, ok := seqOf(k)
		e, err := decodeEvent(rec)
		if err != nil || !ok || seq != next {
			bad = damaged("event number %d", next)
		}
		next = seq + 1
		if err == nil {
			f.add(seq, e)
		}
		return nil
	})
	return errors.Join(bad, err, t.ids.ForEach(func(k, v []byte) error {
		if seq, ok := seqOf(v); ok {
			f.ids[string(k)] = seq
		}
		return nil
	}))
}

// carved takes what a page holds if it is an event or an entry of its id. The
// checksum makes sure of events; an entry that was damaged at most names a lost
// event wrongly.
func (f *found) carved(key, value []byte) {
	if seq, ok := seqOf(key); ok {
		if e, err := decodeEvent(value); err == nil && e.Kind != "" && e.V <= EventVersion {
			f.add(seq, e)
		}
		return
	}
	id, err := ulid.ParseStrict(string(key))
	if seq, ok := seqOf(value); err == nil && ok && id.String() == string(key) {
		if _, known := f.ids[id.String()]; !known {
			f.ids[id.String()] = seq
		}
	}
}

// add takes an event unless it was found before: the way that bolt reads comes
// first and is right about the number.
func (f *found) add(seq uint64, e Event) {
	if _, twice := f.events[e.ID]; !twice {
		f.events[e.ID] = Entry{Seq: seq, Event: e}
	}
}

// number returns the arrival number of an event. It stands in two places, as
// the key of the event and beside its id, neither under a checksum; the smaller
// one is taken, since most bits of a number are zero and a flipped one adds.
func (f *found) number(e Entry) uint64 {
	if seq, ok := f.ids[e.ID]; ok {
		return min(seq, e.Seq)
	}
	return e.Seq
}

// inOrder returns the events in the order in which they had arrived.
func (f *found) inOrder() []Event {
	entries := make([]Entry, 0, len(f.events))
	for _, e := range f.events {
		e.Seq = f.number(e)
		entries = append(entries, e)
	}
	slices.SortFunc(entries, func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID)) })
	events := make([]Event, len(entries))
	for i, e := range entries {
		events[i] = e.Event
	}
	return events
}

// report lists as lost the ids that were listed but not found, and the numbers
// that are missing and belong to none of these.
func (f *found) report() SalvageReport {
	r := SalvageReport{Saved: len(f.events), Rescued: f.rescued, MayMiss: f.mayMiss}
	have := make(map[uint64]bool)
	last := uint64(0)
	for _, e := range f.events {
		seq := f.number(e)
		have[seq], last = true, max(last, seq)
	}
	for id, seq := range f.ids {
		if _, saved := f.events[id]; !saved {
			r.Lost = append(r.Lost, Lost{Seq: seq, ID: id})
			have[seq] = true
		}
	}
	// A number that was damaged itself may be any; the list must not run on.
	for seq := uint64(1); seq < last && len(r.Lost) < len(f.events)+maxTroubles; seq++ {
		if !have[seq] {
			r.Lost = append(r.Lost, Lost{Seq: seq})
		}
	}
	slices.SortFunc(r.Lost, func(a, b Lost) int { return cmp.Or(cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID)) })
	return r
}
