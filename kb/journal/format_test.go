package journal

import (
	"encoding/json"
	"errors"
	"flag"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	bolt "go.etcd.io/bbolt"
)

var update = flag.Bool("update", false, "write the sample files in testdata")

// sampleEvents are what the sample files hold: two jobs of the invented shop.
func sampleEvents() []Event {
	events := append(oneOfEach()[:13],
		opened(20, 20, "2", "gas-furnace"),
		found1(21, 21, "2", "draft", "low"),
		phrase(22, 22, "smells hot", "overheats", true))
	events[13].Extra = map[string]json.RawMessage{"from_newer": []byte(`{"a":1}`)}
	return events
}

// TestSample reads a file that the first version wrote. When the format
// changes, the file stays and this test shows that it is still read.
func TestSample(t *testing.T) {
	sample, golden := "testdata/format-1.db", "testdata/format-1.json"
	if *update {
		writeSample(t, sample, golden)
	}
	dir := t.TempDir()
	copyFile(t, sample, filepath.Join(dir, fileName))
	s := openTest(t, dir, Options{})
	wantSound(t, s)
	text, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	var want contents
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	got := contentsOf(t, s)
	wantEqual(t, "contents", got, want)
	if len(got.Events) != len(sampleEvents()) {
		t.Errorf("%d events, want %d", len(got.Events), len(sampleEvents()))
	}
	mustAppend(t, s, tried(1, 99, "2", "a"))
	wantSound(t, s)
}

func writeSample(t *testing.T, sample, golden string) {
	t.Helper()
	s := openTest(t, t.TempDir(), Options{Program: "sootsayer sample"})
	mustAppend(t, s, sampleEvents()...)
	text, err := json.MarshalIndent(contentsOf(t, s), "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(golden, append(text, '\n'), 0o644); err != nil {
		t.Fatal(err)
	}
	_ = os.Remove(sample)
	if err := s.Backup(sample); err != nil {
		t.Fatal(err)
	}
}

// secondFormat is a format that does not exist: it renames a fix.
func secondFormat(fail error) format {
	return format{version: 2, migrations: []migration{{from: 1, apply: func(tx *bolt.Tx) error {
		events := tx.Bucket(bucketEvents)
		changed := make(map[uint64]Event)
		err := events.ForEach(func(k, rec []byte) error {
			seq, _ := seqOf(k)
			e, err := decodeEvent(rec)
			if err == nil && e.Fix != "" {
				e.Fix = "renamed-" + e.Fix
				changed[seq] = e
			}
			return err
		})
		for _, seq := range slices.Sorted(maps.Keys(changed)) {
			rec, err := encodeEvent(changed[seq])
			if err != nil {
				return err
			}
			if err := events.Put(seqKey(seq), rec); err != nil {
				return err
			}
		}
		return errors.Join(err, fail)
	}}}}
}

func TestMigration(t *testing.T) {
	dir := t.TempDir()
	s := openTest(t, dir, Options{})
	mustAppend(t, s, sampleEvents()...)
	before := contentsOf(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	now := monday
	opt := Options{Now: func() time.Time { now = now.Add(time.Second); return now }}
	if _, err := openAs(dir, Options{ReadOnly: true}, secondFormat(nil)); !errors.Is(err, ErrOutdated) {
		t.Errorf("opening an older store read-only = %v, want ErrOutdated", err)
	}
	if _, err := openAs(dir, opt, secondFormat(os.ErrInvalid)); !errors.Is(err, os.ErrInvalid) || !strings.Contains(err.Error(), "stays as it was") {
		t.Errorf("opening with a migration that fails = %v", err)
	}
	if _, err := openAs(dir, opt, format{version: 3, migrations: secondFormat(nil).migrations}); err == nil || !strings.Contains(err.Error(), "from format 2 to 3") {
		t.Errorf("opening with a migration missing = %v", err)
	}
	s = openTest(t, dir, Options{})
	wantEqual(t, "contents after migrations that failed", contentsOf(t, s), before)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	var notices []string
	opt.Notice = func(n string) { notices = append(notices, n) }
	s, err := openAs(dir, opt, secondFormat(nil))
	if err != nil {
		t.Fatal(err)
	}
	wantSound(t, s)
	job, err := s.Job("1")
	if err != nil || job.Acts[1].Tried != "renamed-replace-nozzle" {
		t.Errorf("after the migration job 1 is %+v, %v", job, err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	kept, _ := filepath.Glob(filepath.Join(dir, fileName+".format-1-*"))
	if len(kept) != 3 || len(notices) != 1 || !strings.Contains(notices[0], kept[2]) {
		t.Fatalf("kept %v, said %v; want a copy for each try and the last one named", kept, notices)
	}
	// The copy is the store as it was.
	old := t.TempDir()
	copyFile(t, kept[2], filepath.Join(old, fileName))
	wantEqual(t, "contents of the copy", contentsOf(t, openTest(t, old, Options{})), before)

	// And this program refuses the newer one.
	want := "this store was written by a newer sootsayer (format 2, this one reads up to 1); update sootsayer"
	for _, readOnly := range []bool{false, true} {
		if _, err := Open(dir, Options{ReadOnly: readOnly}); !errors.Is(err, ErrNewer) || err.Error() != want {
			t.Errorf("Open = %v, want %s", err, want)
		}
	}
	if _, err := Salvage(dir, Options{}); !errors.Is(err, ErrNewer) || err.Error() != want {
		t.Errorf("Salvage = %v, want %s", err, want)
	}
	if _, err := Repair(t.Context(), dir, Options{}); !errors.Is(err, ErrNewer) {
		t.Errorf("Repair = %v, want ErrNewer", err)
	}
}

// TestDerivedIsRebuilt: what follows from the events may be deleted or of
// another version.
func TestDerivedIsRebuilt(t *testing.T) {
	tests := map[string]func(*bolt.Tx) error{
		"version": func(tx *bolt.Tx) error { return putMeta(tx, map[string]string{metaDerived: "99"}) },
	}
	for _, name := range derivedBuckets {
		tests[string(name)] = func(tx *bolt.Tx) error { return tx.DeleteBucket(name) }
	}
	tests["all"] = func(tx *bolt.Tx) error {
		for _, name := range derivedBuckets {
			if err := tx.DeleteBucket(name); err != nil {
				return err
			}
		}
		return nil
	}
	for name, damage := range tests {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			s := openTest(t, dir, Options{})
			mustAppend(t, s, sampleEvents()...)
			want := contentsOf(t, s)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			change(t, dir, damage)
			if _, err := Open(dir, Options{ReadOnly: true}); !errors.Is(err, ErrOutdated) {
				t.Errorf("Open read-only = %v, want ErrOutdated", err)
			}
			var notices []string
			s = openTest(t, dir, Options{Notice: func(n string) { notices = append(notices, n) }})
			if len(notices) != 1 {
				t.Errorf("said %v, want one notice", notices)
			}
			wantSound(t, s)
			if diff := cmp.Diff(want, contentsOf(t, s)); diff != "" {
				t.Errorf("contents (-want +got):\n%s", diff)
			}
		})
	}
}

// TestSameBytes: the same events appended in the same way give the same file
// but for the name drawn by lot.
func TestSameBytes(t *testing.T) {
	var files [2][]byte
	for i := range files {
		path := filepath.Join(t.TempDir(), fileName)
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		opt := Options{Now: func() time.Time { return monday }, Program: "test"}.withDefaults()
		if err := writeNew(path, opt, thisFormat, sampleEvents()); err != nil {
			t.Fatal(err)
		}
		var err error
		if files[i], err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
	}
	different := 0
	for i := range files[0] {
		if files[0][i] != files[1][i] {
			different++
		}
	}
	if len(files[0]) != len(files[1]) || different == 0 || different > 3*40 {
		t.Errorf("%d and %d bytes, %d of them different; want only the name and its checksum to differ", len(files[0]), len(files[1]), different)
	}
	if len(files[0])%pageSize != 0 {
		t.Errorf("the file is not a whole number of pages: %d bytes", len(files[0]))
	}
}
