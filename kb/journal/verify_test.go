package journal

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"
)

// flip changes one bit of the only place in a file where text stands.
func flip(t testing.TB, dir, text string) {
	t.Helper()
	path := filepath.Join(dir, fileName)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(b, []byte(text))
	if i < 0 || bytes.Count(b, []byte(text)) != 1 {
		t.Fatalf("%q stands in the file %d times, want once", text, bytes.Count(b, []byte(text)))
	}
	b[i] ^= 1
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// compacted makes a closed store with the events and no unused pages, so that
// everything stands in the file once.
func compacted(t testing.TB, events ...Event) string {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, fileName)
	temp := filepath.Join(dir, "temp.db")
	ready, err := prepare(events)
	if err != nil {
		t.Fatal(err)
	}
	events = nil
	for _, e := range ready {
		events = append(events, e.Event)
	}
	if err := writeNew(temp, quick.withDefaults(), thisFormat, events); err != nil {
		t.Fatal(err)
	}
	src, err := bolt.Open(temp, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	dst, err := bolt.Open(path, 0o600, quick.bolt())
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(bolt.Compact(dst, src, 0), dst.Close(), src.Close(), os.Remove(temp)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// manyEvents are the events of some jobs, enough for many pages.
func manyEvents(jobs int) []Event {
	var events []Event
	for i := range jobs {
		job := string(rune('A'+i%26)) + strings.Repeat("x", i/26)
		n := i * 10
		events = append(events,
			opened(n, n, job, "oil-furnace"),
			found1(n+1, n+1, job, "draft", "ok"),
			reading(n+2, n+2, job, "flame-eye-resistance", 1600+float64(i)),
			tried(n+3, n+3, job, "clean-flame-eye"),
			part(n+4, n+4, KindPartUsed, job, "nozzle", 1),
			closed(n+5, n+5, job, nil, "nozzle-plugged"),
			phrase(n+6, n+6, "word "+job, "no-heat", false))
	}
	return events
}

func TestVerifyFinds(t *testing.T) {
	last := id(13, 13)
	tests := []struct {
		name   string
		damage func(*bolt.Tx) error
		where  string
		what   string
		remedy Remedy
	}{
		{"event missing", func(tx *bolt.Tx) error { return tx.Bucket(bucketEvents).Delete(seqKey(4)) },
			"event number 4", "1 events are missing", RemedySalvage},
		{"event of another kind of key", func(tx *bolt.Tx) error { return tx.Bucket(bucketEvents).Put([]byte("\xff"), []byte("x")) },
			"events", "under the key ff", RemedySalvage},
		{"record changed", func(tx *bolt.Tx) error {
			rec := bytes.Clone(tx.Bucket(bucketEvents).Get(seqKey(2)))
			rec[30] ^= 4
			return tx.Bucket(bucketEvents).Put(seqKey(2), rec)
		}, "event number 2", "checksum does not match", RemedySalvage},
		{"id missing", func(tx *bolt.Tx) error { return tx.Bucket(bucketIDs).Delete([]byte(last)) },
			`look-up "ids"`, "event number 13 (" + last + ") is not listed", RemedyRebuild},
		{"id elsewhere", func(tx *bolt.Tx) error { return tx.Bucket(bucketIDs).Put([]byte(last), seqKey(1)) },
			`look-up "ids"`, "event number 13", RemedyRebuild},
		{"id of nothing", func(tx *bolt.Tx) error { return tx.Bucket(bucketIDs).Put([]byte("x"), seqKey(1)) },
			`look-up "ids"`, "16 entries where there should be 15", RemedyRebuild},
		{"job's entry missing", func(tx *bolt.Tx) error { return tx.Bucket(bucketByJob).Delete(withSeq(jobKey("1"), 5)) },
			`look-up "byjob"`, "event number 5", RemedyRebuild},
		{"kind's entry missing", func(tx *bolt.Tx) error {
			return tx.Bucket(bucketByKind).Delete(withSeq([]byte(KindPhraseChosen), 8))
		}, `look-up "bykind"`, "event number 8", RemedyRebuild},
		{"job missing", func(tx *bolt.Tx) error { return tx.Bucket(bucketJobs).Delete(jobKey("1")) },
			`job "1"`, "it is missing", RemedyRebuild},
		{"job changed", func(tx *bolt.Tx) error {
			r, err := decodeJob(tx.Bucket(bucketJobs).Get(jobKey("1")))
			if err != nil {
				return err
			}
			r.job.Acts = r.job.Acts[:1]
			rec, err := encodeJob(r)
			if err != nil {
				return err
			}
			return tx.Bucket(bucketJobs).Put(jobKey("1"), rec)
		}, `job "1"`, "not what its events make it", RemedyRebuild},
		{"job's record changed", func(tx *bolt.Tx) error { return tx.Bucket(bucketJobs).Put(jobKey("1"), []byte("\x01abcdefghijklm")) },
			`job "1"`, "checksum does not match", RemedyRebuild},
		{"job too many", func(tx *bolt.Tx) error { return tx.Bucket(bucketJobs).Put(jobKey("2"), nil) },
			"jobs", "there are 2 where the events make 1", RemedyRebuild},
		{"phrase missing", func(tx *bolt.Tx) error {
			return tx.Bucket(bucketPhrases).Delete([]byte("oil-furnace\x00locks-out-on-start\x00red light comes on"))
		}, `phrase "red light comes on"`, "not what the events make it", RemedyRebuild},
		{"phrase too many", func(tx *bolt.Tx) error { return tx.Bucket(bucketPhrases).Put([]byte("x"), nil) },
			"phrases", "there are 2 where the events make 1", RemedyRebuild},
		{"meta changed", func(tx *bolt.Tx) error { return tx.Bucket(bucketMeta).Put([]byte(metaCreated), []byte("\x01abcdef")) },
			`meta entry "created"`, "checksum does not match", RemedySalvage},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			s := openTest(t, dir, Options{})
			mustAppend(t, s, oneOfEach()...)
			want := contentsOf(t, s)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			change(t, dir, tt.damage)
			s = openTest(t, dir, Options{ReadOnly: true})
			r := mustVerify(t, s)
			met := false
			for _, trouble := range r.Troubles {
				if trouble.Where == tt.where && strings.Contains(trouble.What, tt.what) {
					met = true
				}
				if !strings.Contains(trouble.String(), "sootsayer verify --repair") {
					t.Errorf("%s does not say what to do", trouble)
				}
			}
			if !met || r.Remedy != tt.remedy || r.OK() {
				t.Errorf("Verify found %v and advises %q, want %s: %s and %q", r.Troubles, r.Remedy, tt.where, tt.what, tt.remedy)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}

			done, err := Repair(context.Background(), dir, quick)
			if err != nil || done.Did != tt.remedy || !done.After.OK() || (done.Salvage != nil) != (tt.remedy == RemedySalvage) {
				t.Fatalf("Repair = %+v, %v", done, err)
			}
			got := contentsOf(t, openTest(t, dir, Options{}))
			if tt.remedy == RemedyRebuild {
				wantEqual(t, "contents", got, want)
			}
			for id, e := range got.Events {
				wantEqual(t, "event", e, want.Events[id])
			}
			if again, err := Repair(context.Background(), dir, quick); err == nil || !errors.Is(err, ErrInUse) {
				t.Errorf("Repair of an open store = %+v, %v, want ErrInUse", again, err)
			}
		})
	}
}

func TestVerifyFindsFlippedBits(t *testing.T) {
	tests := []struct{ name, text, where string }{
		{"in an event", `{"id":"` + id(3, 3) + `"`, "event number 4"},
		{"in a job", `[{"event":"` + id(1, 1) + `"`, `job "A"`},
		{"in a phrase", `"phrase":"word a","chosen"`, `phrase "word a"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := compacted(t, manyEvents(20)...)
			flip(t, dir, tt.text)
			r := mustVerify(t, openTest(t, dir, Options{}))
			met := false
			for _, trouble := range r.Troubles {
				met = met || trouble.Where == tt.where
			}
			if !met {
				t.Errorf("Verify found %v, want something about %s", r.Troubles, tt.where)
			}
		})
	}
}

func TestVerifyCounts(t *testing.T) {
	dir := compacted(t, manyEvents(20)...)
	r := mustVerify(t, openTest(t, dir, Options{}))
	if r.Events != 140 || r.Jobs != 20 || r.Phrases != 20 || r.Bytes < 10*pageSize || !r.OK() {
		t.Errorf("Verify = %+v, want 140 events, 20 jobs, 20 phrases and no trouble", r)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := openTest(t, compacted(t, manyEvents(1)...), Options{}).Verify(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("Verify after cancel = %v", err)
	}
}

func TestReportIsLimited(t *testing.T) {
	var r Report
	for range maxTroubles + 3 {
		r.rebuild("here", "wrong")
	}
	if len(r.Troubles) != maxTroubles || r.More != 3 || r.Remedy != RemedyRebuild {
		t.Errorf("%d troubles, %d more, remedy %q", len(r.Troubles), r.More, r.Remedy)
	}
	r.salvage("there", "worse")
	r.rebuild("here", "wrong")
	if r.More != 5 || r.Remedy != RemedySalvage {
		t.Errorf("%d more, remedy %q, want 5 and salvage", r.More, r.Remedy)
	}
}

// TestReadingDamaged: reading a damaged record is an error that says what to do.
func TestReadingDamaged(t *testing.T) {
	dir := compacted(t, manyEvents(20)...)
	flip(t, dir, `{"id":"`+id(3, 3)+`"`)
	flip(t, dir, `[{"event":"`+id(1, 1)+`"`)
	flip(t, dir, `"phrase":"word a","chosen"`)
	s := openTest(t, dir, Options{})
	check := func(what string, err error) {
		t.Helper()
		if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "sootsayer verify --repair") {
			t.Errorf("%s = %v, want ErrDamaged with what to do", what, err)
		}
	}
	_, err := s.Job("A")
	check("Job", err)
	_, err = s.Events("A")
	check("Events", err)
	_, err = s.Phrases()
	check("Phrases", err)
	_, err = s.Append(tried(1, 5000, "A", "x"))
	check("Append to the job", err)
	_, err = s.Append(phrase(1, 5000, "word A", "no-heat", false))
	check("Append of the phrase", err)
	check("Rebuild", s.Rebuild())
	n := 0
	for _, err = range s.EventsSince(0) {
		n++
	}
	check("EventsSince", err)
	if n != 4 {
		t.Errorf("EventsSince ended after %d events, want the three before the damaged one and an error", n)
	}
	for _, err = range s.EventsOf(KindFixTried) {
	}
	check("EventsOf", err)
	for _, err = range s.Jobs() {
	}
	check("Jobs", err)
	// Other jobs can still be worked on.
	if _, err := s.Append(tried(1, 5000, "B", "x")); err != nil {
		t.Errorf("Append to another job = %v", err)
	}
}
