package journal

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// damage writes the file anew as fn makes it.
func damage(t testing.TB, dir string, fn func([]byte) []byte) {
	t.Helper()
	path := filepath.Join(dir, fileName)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, fn(b), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestSalvageOneFlippedEvent(t *testing.T) {
	events := manyEvents(30)
	dir := compacted(t, events...)
	lost := id(3, 3)
	flip(t, dir, `{"id":"`+lost+`"`)
	harmed, err := os.ReadFile(filepath.Join(dir, fileName))
	if err != nil {
		t.Fatal(err)
	}
	r, err := Salvage(dir, quick)
	if err != nil {
		t.Fatal(err)
	}
	want := SalvageReport{Kept: r.Kept, Saved: len(events) - 1, Lost: []Lost{{Seq: 4, ID: lost}}}
	wantEqual(t, "Salvage", r, want)
	for _, part := range []string{"209 events were saved", r.Kept, "1 events are lost: number 4 (" + lost + ")"} {
		if !strings.Contains(r.String(), part) {
			t.Errorf("the report says %q, want %q in it", r, part)
		}
	}
	kept, err := os.ReadFile(r.Kept)
	if err != nil || string(kept) != string(harmed) || !strings.HasPrefix(r.Kept, filepath.Join(dir, fileName+".damaged-")) {
		t.Errorf("the damaged file was not kept as it was under %s: %v", r.Kept, err)
	}
	s := openTest(t, dir, Options{})
	wantSound(t, s)
	got := contentsOf(t, s)
	for _, e := range events {
		if _, ok := got.Events[e.ID]; ok == (e.ID == lost) {
			t.Errorf("event %s is there: %v", e.ID, ok)
		}
	}
	// What was lost may be recorded again.
	mustAppend(t, s, events...)
	wantSound(t, s)
	if n, err := s.Seq(); n != uint64(len(events)) || err != nil {
		t.Errorf("%d events, %v, want %d", n, err, len(events))
	}
}

func TestSalvageSoundStore(t *testing.T) {
	dir := t.TempDir()
	s := openTest(t, dir, Options{})
	mustAppend(t, s, sampleEvents()...)
	want := contentsOf(t, s)
	name, err := s.ID()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Salvage(dir, quick); !errors.Is(err, ErrInUse) {
		t.Errorf("Salvage of an open store = %v, want ErrInUse", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := Salvage(dir, quick)
	if err != nil || r.Saved != len(sampleEvents()) || len(r.Lost) > 0 || r.MayMiss || r.Rescued > 0 {
		t.Errorf("Salvage = %+v, %v", r, err)
	}
	s = openTest(t, dir, Options{})
	wantSound(t, s)
	wantEqual(t, "contents", contentsOf(t, s), want)
	if fresh, err := s.ID(); fresh == name || err != nil {
		t.Errorf("the salvaged store has the name %q of the old one, %v", fresh, err)
	}
}

// TestTruncated cuts the file everywhere a page ends and at odd places.
func TestTruncated(t *testing.T) {
	events := manyEvents(60)
	whole := compacted(t, events...)
	f, err := os.Open(filepath.Join(whole, fileName))
	if err != nil {
		t.Fatal(err)
	}
	h, _ := newestHeader(f)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	size := int64(h.pages) * pageSize
	cuts := []int64{0, 1, 100, pageSize + 50, size / 3, size/2 + 17, size - 3*pageSize, size - 1}
	for n := int64(1); n < 8; n++ {
		cuts = append(cuts, n*pageSize)
	}
	saved := 0
	for _, cut := range cuts {
		dir := t.TempDir()
		copyFile(t, filepath.Join(whole, fileName), filepath.Join(dir, fileName))
		if err := os.Truncate(filepath.Join(dir, fileName), cut); err != nil {
			t.Fatal(err)
		}
		for _, readOnly := range []bool{true, false} {
			if _, err := Open(dir, Options{ReadOnly: readOnly}); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "sootsayer verify --repair") {
				t.Fatalf("cut to %d, read-only %v: Open = %v, want ErrDamaged with what to do", cut, readOnly, err)
			}
		}
		done, err := Repair(context.Background(), dir, quick)
		if err != nil || done.Did != RemedySalvage || !done.After.OK() {
			t.Fatalf("cut to %d: Repair = %+v, %v", cut, done, err)
		}
		if r := done.Salvage; !r.MayMiss || !strings.Contains(r.String(), "missing without a trace") {
			t.Errorf("cut to %d: Salvage = %+v, want a warning", cut, r)
		}
		saved = max(saved, done.Salvage.Saved)
		wantAmong(t, dir, events)
	}
	if saved < len(events)/2 {
		t.Errorf("at best %d of %d events were saved", saved, len(events))
	}
}

// wantAmong fails the test unless the store is sound and holds only events of
// the list.
func wantAmong(t testing.TB, dir string, events []Event) {
	t.Helper()
	byID := make(map[string]Event)
	ready, err := prepare(events)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range ready {
		byID[e.ID] = e.Event
	}
	s := openTest(t, dir, Options{})
	wantSound(t, s)
	for _, e := range contentsOf(t, s).Events {
		wantEqual(t, "event", e, byID[e.ID])
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestBothHeadersGone: nothing leads to the pages any more, and all events are
// found on them.
func TestBothHeadersGone(t *testing.T) {
	events := manyEvents(100)
	dir := compacted(t, events...)
	damage(t, dir, func(b []byte) []byte { clear(b[:2*pageSize]); return b })
	if _, err := Open(dir, quick); !errors.Is(err, ErrDamaged) {
		t.Fatalf("Open = %v, want ErrDamaged", err)
	}
	r, err := Salvage(dir, quick)
	if err != nil || r.Saved != len(events) || r.Rescued != len(events) || len(r.Lost) != 0 || !r.MayMiss {
		t.Errorf("Salvage = %+v, %v, want all %d events rescued", r, err, len(events))
	}
	s := openTest(t, dir, Options{})
	for e, err := range s.EventsSince(0) {
		if err != nil || e.ID != events[e.Seq-1].ID {
			t.Fatalf("event number %d is %s, %v, want %s: in the old order", e.Seq, e.ID, err, events[e.Seq-1].ID)
		}
	}
}

// TestNewestHeaderGone: bolt goes on from the older header and knows nothing of
// the last acknowledged event. Verify says so, and Salvage brings it back.
func TestNewestHeaderGone(t *testing.T) {
	dir := t.TempDir()
	s := openTest(t, dir, Options{})
	mustAppend(t, s, manyEvents(10)...)
	last := tried(1, 5000, "A", "replace-nozzle")
	mustAppend(t, s, last)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	newest := func(b []byte) int {
		if b[pageHead+48] > b[pageSize+pageHead+48] { // the lowest byte of txid
			return 0
		}
		return pageSize
	}
	damage(t, dir, func(b []byte) []byte { b[newest(b)+pageHead+20] ^= 1; return b })
	s = openTest(t, dir, Options{})
	if n, err := s.Seq(); n != 70 || err != nil {
		t.Fatalf("%d events, %v; the test wants to see the last one missing", n, err)
	}
	r := mustVerify(t, s)
	if r.Remedy != RemedySalvage || !strings.Contains(r.Troubles[0].What, "recorded last may be missing") {
		t.Errorf("Verify = %+v", r)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	done, err := Repair(context.Background(), dir, quick)
	if err != nil || done.Salvage == nil || done.Salvage.Saved != 71 || done.Salvage.Rescued != 1 {
		t.Errorf("Repair = %+v, %v", done, err)
	}
	events, err := openTest(t, dir, Options{}).Events("A")
	if err != nil || events[len(events)-1].ID != last.ID {
		t.Errorf("the last event of the job is not back: %v", err)
	}
}

func TestNotAJournal(t *testing.T) {
	for name, content := range map[string]string{"text": strings.Repeat("notes of the shop\n", 5000), "zeros": strings.Repeat("\x00", 10*pageSize)} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, fileName), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(dir, quick); !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: Open = %v, want ErrDamaged", name, err)
		}
		r, err := Salvage(dir, quick)
		if err != nil || r.Saved != 0 || !r.MayMiss {
			t.Errorf("%s: Salvage = %+v, %v", name, r, err)
		}
		if kept, err := os.ReadFile(r.Kept); err != nil || string(kept) != content {
			t.Errorf("%s: the file was not kept: %v", name, err)
		}
		wantSound(t, openTest(t, dir, Options{}))
	}
}

// TestAnyFlippedBit flips bits anywhere in the file. Nothing may panic or hang;
// either the store gives out exactly what was recorded, or the damage is found;
// and after a repair nothing is there that was not recorded, and what is
// missing was reported.
func TestAnyFlippedBit(t *testing.T) {
	rounds := 120
	if testing.Short() {
		rounds = 40
	}
	events := manyEvents(16)
	whole := compacted(t, events...)
	s := openTest(t, whole, Options{})
	want := contentsOf(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(filepath.Join(whole, fileName))
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(5, 6))
	outcomes := make(map[string]int)
	for round := range rounds {
		bit := random.IntN(8 * len(file))
		if round%3 == 0 { // the beginnings of pages are where structure stands
			bit = 8*pageSize*random.IntN(len(file)/pageSize) + random.IntN(8*64)
		}
		dir := t.TempDir()
		copyFile(t, filepath.Join(whole, fileName), filepath.Join(dir, fileName))
		damage(t, dir, func(b []byte) []byte { b[bit/8] ^= 1 << (bit % 8); return b })
		outcomes[flippedBit(t, dir, bit, events, want)]++
	}
	t.Logf("%v", outcomes)
	for _, o := range []string{"not opened", "found", "harmless"} {
		if outcomes[o] == 0 {
			t.Errorf("no flipped bit was %s; the test is too tame", o)
		}
	}
}

func flippedBit(t *testing.T, dir string, bit int, events []Event, want contents) string {
	t.Helper()
	outcome := "not opened"
	s, err := Open(dir, Options{ReadOnly: true, noSync: true})
	switch {
	case err == nil:
		r, err := s.Verify(context.Background())
		if err != nil {
			t.Fatalf("bit %d: Verify = %v", bit, err)
		}
		if outcome = "found"; r.OK() {
			outcome = "harmless"
			if diff := cmp.Diff(want, contentsOf(t, s)); diff != "" {
				t.Fatalf("bit %d: nothing was found, but the contents differ (-want +got):\n%s", bit, diff)
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	case !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrOutdated):
		t.Fatalf("bit %d: Open = %v, want ErrDamaged or ErrOutdated", bit, err)
	}
	tryToAppend(t, dir)
	done, err := Repair(context.Background(), dir, quick)
	if err != nil || !done.After.OK() {
		t.Fatalf("bit %d: Repair = %+v, %v", bit, done, err)
	}
	wantAmong(t, dir, append(events, appended))
	missing := len(events) - int(done.After.Events)
	if done.Salvage == nil && missing > 0 {
		t.Errorf("bit %d: %d events are missing without a salvage", bit, missing)
	}
	if r := done.Salvage; r != nil && !r.MayMiss && missing > len(r.Lost) {
		t.Errorf("bit %d: %d events are missing, %d were reported as lost", bit, missing, len(r.Lost))
	}
	return outcome
}

var appended = tried(1, 9000, "A", "replace-nozzle")

// tryToAppend appends to a store that may be damaged: whatever comes of it, it
// must come back.
func tryToAppend(t *testing.T, dir string) {
	t.Helper()
	s, err := Open(dir, quick)
	if err != nil {
		return
	}
	if _, err := s.Append(appended); err != nil && !errors.Is(err, ErrDamaged) {
		t.Errorf("Append = %v, want ErrDamaged or none", err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}
