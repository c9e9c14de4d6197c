package journal

import (
	"bytes"
	"iter"
	"slices"

	bolt "go.etcd.io/bbolt"

	"sootsayer/kb"
)

// Jobs goes through all jobs: numbers first, in their order, then other ids by
// their bytes. The loop may use the store; it meets each job as that stands
// when it is reached, and none that were opened after the last one there was
// at the start. After an error it ends.
func (s *Store) Jobs() iter.Seq2[kb.Job, error] {
	return func(yield func(kb.Job, error) bool) {
		var first, last []byte
		err := s.view(func(tx *bolt.Tx) error {
			t, err := tablesOf(tx)
			if err != nil {
				return err
			}
			from, _ := t.jobs.Cursor().First()
			to, _ := t.jobs.Cursor().Last()
			first, last = slices.Clone(from), slices.Clone(to)
			return nil
		})
		if err != nil {
			yield(kb.Job{}, err)
			return
		}
		in := func(t tables) *bolt.Bucket { return t.jobs }
		walk(s, in, first, last, func(_ tables, k, rec []byte) (kb.Job, error) {
			r, err := decodeJob(rec)
			if err != nil {
				return r.job, damaged("the job under the key %q: %v", k, err)
			}
			return r.job, nil
		}, yield)
	}
}

// EventsSince goes through the events that arrived after number seq (0 for all)
// and before the loop began, in order of arrival. The loop may use the store.
// After an error it ends.
func (s *Store) EventsSince(seq uint64) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		last, err := s.Seq()
		if err != nil {
			yield(Entry{}, err)
			return
		}
		if last <= seq {
			return
		}
		in := func(t tables) *bolt.Bucket { return t.events }
		walk(s, in, seqKey(seq+1), seqKey(last), func(_ tables, k, rec []byte) (Entry, error) {
			n, _ := seqOf(k)
			e, err := decodeEvent(rec)
			if err != nil {
				return Entry{}, damaged("event number %d: %v", n, err)
			}
			return Entry{Seq: n, Event: e}, nil
		}, yield)
	}
}

// EventsOf goes through the events of one kind that arrived before the loop
// began, in order of arrival. The loop may use the store. After an error it
// ends.
func (s *Store) EventsOf(kind Kind) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		last, err := s.Seq()
		if err != nil {
			yield(Entry{}, err)
			return
		}
		in := func(t tables) *bolt.Bucket { return t.byKind }
		walk(s, in, withSeq([]byte(kind), 0), withSeq([]byte(kind), last), func(t tables, k, _ []byte) (Entry, error) {
			_, n, _ := splitSeq(k)
			e, err := t.event(n)
			return Entry{Seq: n, Event: e}, err
		}, yield)
	}
}

// chunk is how many records are read in one transaction. Between chunks no
// transaction is open, so that a slow loop does not hold up the writer.
const chunk = 256

// walk yields what decode makes of every entry of a bucket from one key to
// another, both included.
func walk[T any](s *Store, in func(tables) *bolt.Bucket, from, to []byte,
	decode func(t tables, k, v []byte) (T, error), yield func(T, error) bool) {
	for from != nil {
		items := make([]T, 0, chunk)
		var next []byte
		err := s.view(func(tx *bolt.Tx) error {
			t, err := tablesOf(tx)
			if err != nil {
				return err
			}
			c := in(t).Cursor()
			for k, v := c.Seek(from); k != nil && bytes.Compare(k, to) <= 0; k, v = c.Next() {
				if len(items) == chunk {
					next = slices.Clone(k)
					return nil
				}
				item, err := decode(t, k, v)
				if err != nil {
					return err
				}
				items = append(items, item)
			}
			return nil
		})
		s.worked(aChunk)
		for _, item := range items {
			if !yield(item, nil) {
				return
			}
		}
		if err != nil {
			var none T
			yield(none, err)
			return
		}
		from = next
	}
}
