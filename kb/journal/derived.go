package journal

import (
	"bytes"
	"maps"
	"slices"
	"strconv"

	bolt "go.etcd.io/bbolt"
)

// entry is one entry of a look-up that follows from an event.
type entry struct {
	in         []byte // name of the bucket
	key, value []byte
}

func (e entry) bucket(t tables) *bolt.Bucket {
	switch {
	case bytes.Equal(e.in, bucketIDs):
		return t.ids
	case bytes.Equal(e.in, bucketByJob):
		return t.byJob
	case bytes.Equal(e.in, bucketCallbacks):
		return t.callbacks
	default:
		return t.byKind
	}
}

// entriesOf returns the entries of an event in the look-ups by id, job and
// kind, and by the earlier job of which it opens a callback.
func entriesOf(e Event, seq uint64) []entry {
	all := []entry{
		{bucketIDs, []byte(e.ID), seqKey(seq)},
		{bucketByKind, withSeq([]byte(e.Kind), seq), nil},
	}
	if e.Job != "" {
		all = append(all, entry{bucketByJob, withSeq(jobKey(e.Job), seq), nil})
	}
	if e.Kind == KindJobOpened && e.CallbackOf != "" {
		all = append(all, entry{bucketCallbacks, withSeq(jobKey(e.CallbackOf), seq), nil})
	}
	return all
}

// Rebuild works out anew, in one transaction, everything that follows from the
// events: the look-ups, the jobs and the phrases.
func (s *Store) Rebuild() error { return s.update(rebuild) }

func rebuild(tx *bolt.Tx) error {
	for _, name := range derivedBuckets {
		if tx.Bucket(name) != nil {
			if err := tx.DeleteBucket(name); err != nil {
				return err
			}
		}
		if _, err := tx.CreateBucket(name); err != nil {
			return err
		}
	}
	t, err := tablesOf(tx)
	if err != nil {
		return err
	}
	touched, err := rebuildLookups(t)
	if err != nil {
		return err
	}
	w := writer{tables: t, touched: touched}
	// Keys come in order here, so that pages may be filled.
	t.jobs.FillPercent = appendFill
	if err := w.refold(); err != nil {
		return err
	}
	return putMeta(tx, map[string]string{metaDerived: strconv.Itoa(derivedVersion)})
}

// rebuildLookups writes the empty look-ups and phrases from the events, sorted,
// since bolt is slow at many keys out of order in one transaction. It returns
// the jobs that the events name.
func rebuildLookups(t tables) (jobs map[string]bool, err error) {
	jobs = make(map[string]bool)
	phrases := make(map[string]Phrase)
	var entries []entry
	err = t.events.ForEach(func(k, rec []byte) error {
		seq, ok := seqOf(k)
		if !ok {
			return damaged("there is an event under the key %x", k)
		}
		e, err := decodeEvent(rec)
		if err != nil {
			return damaged("event number %d: %v", seq, err)
		}
		entries = append(entries, entriesOf(e, seq)...)
		foldPhrases(phrases, e)
		if e.Job != "" {
			jobs[e.Job] = true
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortFunc(entries, func(a, b entry) int {
		if by := bytes.Compare(a.in, b.in); by != 0 {
			return by
		}
		return bytes.Compare(a.key, b.key)
	})
	for _, b := range []*bolt.Bucket{t.ids, t.byJob, t.byKind, t.callbacks} {
		b.FillPercent = appendFill
	}
	for _, e := range entries {
		if err := e.bucket(t).Put(e.key, e.value); err != nil {
			return nil, err
		}
	}
	for _, key := range slices.Sorted(maps.Keys(phrases)) {
		if err := putPhrase(t.phrases, phrases[key]); err != nil {
			return nil, err
		}
	}
	return jobs, nil
}
