package journal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// Verify compares everything in the store with everything: the pages with each
// other, every record with its checksum, the look-ups with the events, and the
// jobs and phrases with what the events make of them now. What it finds is in
// the report; an error means that it could not look, because ctx was done or
// the store is closed. While the pages are checked nobody can append.
func (s *Store) Verify(ctx context.Context) (Report, error) {
	v := &verifier{ctx: ctx, jobs: make(map[string]bool), phrases: make(map[string]Phrase), entries: make(map[string]int)}
	for page := range int64(2) {
		if _, ok := readHeader(s.file, page); !ok {
			v.salvage(fmt.Sprintf("header %d", page), "it cannot be read, and what was recorded last may be missing")
		}
	}
	steps := []func() error{
		func() error { return s.checkPages(v) },
		func() error { return s.view(v.checkMeta) },
		func() error { return s.view(v.checkEvents) },
	}
	for _, step := range steps {
		err := step()
		if errors.Is(err, ErrDamaged) {
			v.salvage(fileName, "%v", err)
		} else if err != nil {
			return v.Report, err
		}
	}
	return v.Report, nil
}

// checkPages walks all pages and then runs bolt's own check, which also knows
// about free pages. For that nobody else may write.
func (s *Store) checkPages(v *verifier) error {
	return s.explain(guarded(func() error {
		tx, err := s.db.Begin(!s.opt.ReadOnly)
		if err != nil {
			return err
		}
		// Also when what follows panics: an open transaction keeps all writers out.
		defer tx.Rollback()
		v.Bytes = tx.Size()
		if err := checkTree(s.file, true); err != nil {
			return err
		}
		for err := range tx.Check() {
			v.salvage("pages", "%v", err)
		}
		return nil
	}))
}

type verifier struct {
	Report
	ctx     context.Context
	jobs    map[string]bool
	phrases map[string]Phrase
	entries map[string]int // by look-up: how many there should be
}

func (v *verifier) checkMeta(tx *bolt.Tx) error {
	for _, name := range []string{metaFormat, metaDerived, metaStore, metaCreated, metaCreatedBy} {
		if _, err := decodeRecord(tx.Bucket(bucketMeta).Get([]byte(name))); err != nil {
			v.salvage(fmt.Sprintf("meta entry %q", name), "%v", err)
		}
	}
	return nil
}

// checkEvents goes through the events once and through those of each job once
// more, all as of one moment.
func (v *verifier) checkEvents(tx *bolt.Tx) error {
	t, err := tablesOf(tx)
	if err != nil {
		return err
	}
	next := uint64(1)
	c := t.events.Cursor()
	for k, rec := c.First(); k != nil; k, rec = c.Next() {
		if err := v.ctx.Err(); err != nil {
			return err
		}
		seq, ok := seqOf(k)
		if !ok || seq < next {
			v.salvage("events", "there is one under the key %x", k)
			continue
		}
		if seq > next {
			v.salvage(fmt.Sprintf("event number %d", next), "%d events are missing from here", seq-next)
		}
		next = seq + 1
		v.Events++
		e, err := decodeEvent(rec)
		if err != nil {
			v.salvage(fmt.Sprintf("event number %d", seq), "%v", err)
			continue
		}
		v.checkEntries(t, e, seq)
		foldPhrases(v.phrases, e)
		if e.Job != "" {
			v.jobs[e.Job] = true
		}
	}
	v.checkCounts(t)
	v.checkPhrases(t)
	return v.checkJobs(t)
}

// checkEntries looks for the entries of an event in the look-ups.
func (v *verifier) checkEntries(t tables, e Event, seq uint64) {
	for _, want := range entriesOf(e, seq) {
		v.entries[string(want.in)]++
		if got := want.bucket(t).Get(want.key); got == nil || !bytes.Equal(got, want.value) {
			v.rebuild(fmt.Sprintf("look-up %q", want.in), "event number %d (%s) is not listed as it should be", seq, e.ID)
		}
	}
}

// checkCounts finds entries too many: every event has its own, so that none is
// left over when the numbers agree.
func (v *verifier) checkCounts(t tables) {
	for _, name := range lookupBuckets {
		b := entry{in: name}.bucket(t)
		if n, want := count(b), v.entries[string(name)]; n != want {
			v.rebuild(fmt.Sprintf("look-up %q", name), "it has %d entries where there should be %d", n, want)
		}
	}
}

func (v *verifier) checkPhrases(t tables) {
	v.Phrases = len(v.phrases)
	if n := count(t.phrases); n != len(v.phrases) {
		v.rebuild("phrases", "there are %d where the events make %d", n, len(v.phrases))
	}
	for _, key := range slices.Sorted(maps.Keys(v.phrases)) {
		want, err := encodePhrase(v.phrases[key])
		if err != nil || !bytes.Equal(t.phrases.Get([]byte(key)), want) {
			v.rebuild(fmt.Sprintf("phrase %q", v.phrases[key].Phrase), "it is not what the events make it")
		}
	}
}

func (v *verifier) checkJobs(t tables) error {
	v.Jobs = len(v.jobs)
	if n := count(t.jobs); n != len(v.jobs) {
		v.rebuild("jobs", "there are %d where the events make %d", n, len(v.jobs))
	}
	for _, id := range slices.Sorted(maps.Keys(v.jobs)) {
		if err := v.ctx.Err(); err != nil {
			return err
		}
		where := fmt.Sprintf("job %q", id)
		events, last, err := t.eventsOf(id)
		if err != nil {
			// The event itself was reported when it was met.
			v.rebuild(where, "its events cannot all be read")
			continue
		}
		want, err := encodeJob(jobRecord{seq: last, job: FoldJob(events)})
		if err != nil {
			return err
		}
		if got := t.jobs.Get(jobKey(id)); !bytes.Equal(got, want) {
			v.rebuild(where, "%s", whyDifferent(got))
		}
	}
	return nil
}

func whyDifferent(rec []byte) string {
	if rec == nil {
		return "it is missing"
	}
	if _, err := decodeJob(rec); err != nil {
		return err.Error()
	}
	return "it is not what its events make it"
}

func count(b *bolt.Bucket) int {
	n := 0
	c := b.Cursor()
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		n++
	}
	return n
}
