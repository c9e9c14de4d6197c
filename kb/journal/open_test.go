package journal

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

func TestOpenMissing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	if _, err := Open(dir, Options{ReadOnly: true}); !errors.Is(err, ErrNoStore) || !strings.Contains(err.Error(), dir) {
		t.Errorf("Open read-only = %v, want ErrNoStore naming the folder", err)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("opening read-only made the folder")
	}
	if _, err := Repair(context.Background(), dir, Options{}); !errors.Is(err, ErrNoStore) {
		t.Errorf("Repair = %v, want ErrNoStore", err)
	}
	if _, err := Salvage(dir, Options{}); !errors.Is(err, ErrNoStore) {
		t.Errorf("Salvage = %v, want ErrNoStore", err)
	}
	s := openTest(t, dir, Options{})
	if s.Dir() != dir {
		t.Errorf("Dir = %s, want %s", s.Dir(), dir)
	}
	wantSound(t, s)
}

func TestReadOnly(t *testing.T) {
	dir := t.TempDir()
	s := openTest(t, dir, Options{})
	mustAppend(t, s, oneOfEach()...)
	want := contentsOf(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(filepath.Join(dir, fileName))
	if err != nil {
		t.Fatal(err)
	}
	// Several readers at once, in one process.
	a := openTest(t, dir, Options{ReadOnly: true})
	b := openTest(t, dir, Options{ReadOnly: true})
	wantEqual(t, "contents", contentsOf(t, a), want)
	wantSound(t, b)
	if _, err := a.Append(tried(1, 1, "1", "a")); !errors.Is(err, ErrReadOnly) {
		t.Errorf("Append = %v, want ErrReadOnly", err)
	}
	if err := a.Rebuild(); !errors.Is(err, ErrReadOnly) {
		t.Errorf("Rebuild = %v, want ErrReadOnly", err)
	}
	if _, err := a.OpenJob(func(job string) []Event { return []Event{opened(1, 1, job, "f")} }); !errors.Is(err, ErrReadOnly) {
		t.Errorf("OpenJob = %v, want ErrReadOnly", err)
	}
	after, err := os.ReadFile(filepath.Join(dir, fileName))
	if err != nil {
		t.Fatal(err)
	}
	if string(after) != string(before) {
		t.Error("the file was changed")
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	s := openTest(t, dir, Options{})
	mustAppend(t, s, oneOfEach()...)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	// A file where the notes' folder would be: no note can be written, as on a
	// disk that may only be read.
	if err := os.Remove(filepath.Join(dir, openDir)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, openDir), nil, 0o400); err != nil {
		t.Fatal(err)
	}
	wantSound(t, openTest(t, dir, Options{ReadOnly: true}))
}

func TestInUse(t *testing.T) {
	tests := []struct {
		name, child string
		opt         Options
	}{
		{"written, to write", "hold", Options{}},
		{"written, to read", "hold", Options{ReadOnly: true}},
		{"read, to write", "read", Options{}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := openTest(t, dir, Options{}).Close(); err != nil {
				t.Fatal(err)
			}
			p := startHolder(t, tt.child, dir)
			tt.opt.Timeout = 50 * time.Millisecond
			_, err := Open(dir, tt.opt)
			want := fmt.Sprintf("the store %s is in use by process %d (test child); wait until it is done or stop it, then try again", dir, p.cmd.Process.Pid)
			if !errors.Is(err, ErrInUse) || err.Error() != want {
				t.Errorf("Open = %v, want %s", err, want)
			}
			var inUse *InUseError
			if errors.As(err, &inUse) && (len(inUse.Holders) != 1 || inUse.Holders[0].ReadOnly != (tt.child == "read")) {
				t.Errorf("holders are %+v", inUse.Holders)
			}
			if _, err := Salvage(dir, tt.opt); !errors.Is(err, ErrInUse) {
				t.Errorf("Salvage = %v, want ErrInUse", err)
			}
			p.stop(t)
			openTest(t, dir, tt.opt)
		})
	}
}

// TestInUseByMany: readers together, and one that left no word.
func TestInUseByMany(t *testing.T) {
	dir := t.TempDir()
	if err := openTest(t, dir, Options{}).Close(); err != nil {
		t.Fatal(err)
	}
	p := startHolder(t, "read", dir)
	defer p.stop(t)
	r := openTest(t, dir, Options{ReadOnly: true, Program: "this test"})
	_, err := Open(dir, Options{Timeout: -1})
	for _, want := range []string{fmt.Sprintf("process %d (test child)", p.cmd.Process.Pid), fmt.Sprintf("process %d (this test)", os.Getpid())} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Open = %v, want %s in it", err, want)
		}
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(dir, openDir)); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir, Options{Timeout: -1}); !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), "by another process;") {
		t.Errorf("Open = %v, want ErrInUse without a name", err)
	}
}

func TestStaleNotes(t *testing.T) {
	dir := t.TempDir()
	p := startHolder(t, "hold", dir)
	dead := p.cmd.Process.Pid
	if err := p.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = p.cmd.Wait() // it was killed
	note := filepath.Join(dir, openDir, fmt.Sprint(dead))
	if _, err := os.Stat(note); err != nil {
		t.Fatalf("the killed process left no note: %v", err)
	}
	// One of an earlier process that had the id of this one, and rubbish.
	old, err := json.Marshal(Holder{PID: os.Getpid(), Program: "long gone", Run: "other"})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{fmt.Sprint(os.Getpid()): string(old), "rubbish": "{"} {
		if err := os.WriteFile(filepath.Join(dir, openDir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if h := holders(dir); len(h) != 0 {
		t.Errorf("holders = %v, want none", h)
	}
	s := openTest(t, dir, Options{ReadOnly: true, Program: "reader"})
	h := holders(dir)
	if len(h) != 1 || h[0].Program != "reader" || !h[0].ReadOnly {
		t.Errorf("holders = %v, want this reader alone", h)
	}
	left, err := os.ReadDir(filepath.Join(dir, openDir))
	if err != nil || len(left) != 1 {
		t.Errorf("%d notes are left, want that of this process: %v, %v", len(left), left, err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if left, err := os.ReadDir(filepath.Join(dir, openDir)); err != nil || len(left) != 0 {
		t.Errorf("after Close %v are left, %v", left, err)
	}
}

func TestCreateTogether(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "shop")
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			s, err := Open(dir, Options{Timeout: 20 * time.Second})
			if err != nil {
				t.Error(err)
				return
			}
			if _, err := s.Append(opened(i, i, fmt.Sprint(i), "oil-furnace")); err != nil {
				t.Error(err)
			}
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	s := openTest(t, dir, Options{})
	if n, err := s.Seq(); n != 8 || err != nil {
		t.Errorf("%d events, %v, want all 8: all openers must have had the same file", n, err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.new-*")); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
}

func TestClearTemporaries(t *testing.T) {
	dir := t.TempDir()
	old, young := filepath.Join(dir, fileName+".new-1"), filepath.Join(dir, fileName+".new-2")
	for _, path := range []string{old, young} {
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	long := time.Now().Add(-2 * time.Hour)
	if err := os.Chtimes(old, long, long); err != nil {
		t.Fatal(err)
	}
	openTest(t, dir, Options{})
	if _, err := os.Stat(old); err == nil {
		t.Error("an old unfinished file was not removed")
	}
	if _, err := os.Stat(young); err != nil {
		t.Errorf("a young unfinished file was removed: %v", err)
	}
}

// TestReplacedWhileWaiting: who waits for the lock of a file that is meanwhile
// replaced gets the new one.
func TestReplacedWhileWaiting(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, fileName)
	first := openTest(t, dir, Options{})
	mustAppend(t, first, opened(1, 1, "1", "oil-furnace"))
	copied := filepath.Join(dir, "copy.db")
	if err := first.Backup(copied); err != nil {
		t.Fatal(err)
	}
	got := make(chan error)
	go func() {
		s, err := Open(dir, Options{Timeout: 20 * time.Second})
		if err == nil {
			var same bool
			if same, err = isFile(path, s.file); err == nil && !same {
				err = errors.New("the replaced file was opened")
			}
			err = errors.Join(err, s.Close())
		}
		got <- err
	}()
	time.Sleep(100 * time.Millisecond) // it waits for the lock by now
	if err := os.Rename(copied, path); err != nil {
		t.Fatal(err)
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	if err := <-got; err != nil {
		t.Error(err)
	}
}

func TestBackup(t *testing.T) {
	dir := t.TempDir()
	s := openTest(t, dir, Options{})
	mustAppend(t, s, oneOfEach()...)
	want := contentsOf(t, s)
	copied := filepath.Join(t.TempDir(), fileName)
	if err := s.Backup(copied); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(copied); !errors.Is(err, os.ErrExist) {
		t.Errorf("Backup over a file = %v, want os.ErrExist", err)
	}
	if err := s.Backup(filepath.Join(dir, "missing", "x")); err == nil {
		t.Error("Backup into a missing folder gave no error")
	}
	mustAppend(t, s, opened(1, 99, "99", "oil-furnace")) // not in the copy
	b := openTest(t, filepath.Dir(copied), Options{})
	wantSound(t, b)
	wantEqual(t, "contents of the copy", contentsOf(t, b), want)
	if left, _ := filepath.Glob(copied + ".new-*"); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
}

func TestStoreID(t *testing.T) {
	dir := t.TempDir()
	ids := make(map[string]bool)
	for _, d := range []string{dir, dir, t.TempDir()} {
		s := openTest(t, d, Options{})
		id, err := s.ID()
		if err != nil || id == "" {
			t.Errorf("ID = %q, %v", id, err)
		}
		ids[id] = true
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if len(ids) != 2 {
		t.Errorf("two stores have the ids %v", ids)
	}
}

// change changes the file of a closed store.
func change(t testing.TB, dir string, fn func(*bolt.Tx) error) {
	t.Helper()
	db, err := bolt.Open(filepath.Join(dir, fileName), 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Update(fn); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}
