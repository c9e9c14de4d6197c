package shop

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb/journal"
	"sootsayer/kb/stock"
)

// anyPartEvent draws an event of a part outside of jobs, or one of a job.
func anyPartEvent(t *rapid.T, n int, so []journal.Event) journal.Event {
	if rapid.Bool().Draw(t, "of a job") {
		e := anyEvent(t, n, so, false)
		if e.Kind == journal.KindPartUsed {
			e.Place = rapid.SampledFrom([]string{"", "truck-1"}).Draw(t, "place")
			e.Qty = new(float64(rapid.SampledFrom([]int{-1, 1, 2}).Draw(t, "qty")))
		}
		if e.Closing != nil && len(e.Closing.Used) > 0 {
			e.Closing.From = rapid.SampledFrom([]string{"", "truck-1"}).Draw(t, "from")
		}
		return e
	}
	at := anyDay(t)
	e := journal.Event{ID: journal.EventIDFor(at, "test", uint16(n)), At: at, By: "bob", V: journal.EventVersion, Part: rapid.SampledFrom([]string{"nozzle-085", "absorbent"}).Draw(t, "part"),
		Kind: rapid.SampledFrom([]journal.Kind{journal.KindPartCounted, journal.KindPartReceived, journal.KindPartUsed, journal.KindPartOrdered, journal.KindPartMoved}).Draw(t, "kind")}
	e.Qty = new(float64(rapid.IntRange(1, 6).Draw(t, "qty")))
	e.Place = rapid.SampledFrom([]string{"shelf", "truck-1"}).Draw(t, "place")
	if e.Kind == journal.KindPartMoved {
		e.To = "truck-2"
	}
	return e
}

// TestStockLogIsAllEvents: whatever is appended in whatever order of time, taken
// in portion by portion, by one run of the program or several: the log is the one
// that all events give at once, and what it says was used is what the folded jobs
// and the unbooked parts say.
func TestStockLogIsAllEvents(t *testing.T) {
	fewer(t)
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		s := openBase(t, filepath.Join(dir, fmt.Sprint(n)), "testdata/base")
		defer func() { s.Close() }()
		var events []journal.Event
		for range rapid.IntRange(1, 6).Draw(rt, "portions") {
			var portion []journal.Event
			for range rapid.IntRange(1, 10).Draw(rt, "events") {
				portion = append(portion, anyPartEvent(rt, len(events), events))
				events = append(events, portion[len(portion)-1])
			}
			if _, err := s.journal.Append(portion...); err != nil {
				rt.Fatal(err)
			}
			if rapid.Bool().Draw(rt, "end of the program") {
				s = again(t, s)
			}
			l, err := s.stockNow()
			if err != nil {
				rt.Fatal(err)
			}
			all := new(stockLog)
			if err := all.catchUp(s.journal); err != nil {
				rt.Fatal(err)
			}
			same := cmp.AllowUnexported(stockLog{})
			l.changed = true // it may have been read
			if diff := cmp.Diff(all, l, same, cmp.Comparer(func(a, b []stock.Movement) bool { return slices.Equal(a, b) }),
				cmp.Comparer(func(a, b []Call) bool { return slices.Equal(a, b) })); diff != "" {
				rt.Fatalf("the log (-all events at once +step by step):\n%s", diff)
			}
			compareUsed(rt, s, l)
		}
	})
}

// compareUsed compares the pieces used by part with what the journal folds.
func compareUsed(t *rapid.T, s *Shop, l *stockLog) {
	want, got := make(map[string]float64), make(map[string]float64)
	closings := 0
	for j, err := range s.journal.Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		past := j.Past
		if j.Closing != nil {
			past = append(past, *j.Closing)
		}
		for _, c := range past {
			closings++
			for part, qty := range c.Used {
				want[part] += qty
			}
		}
	}
	loose, err := s.journal.UnbookedParts()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range loose {
		want[e.Part] += *e.Qty
	}
	for i := range l.moves {
		if m := &l.moves[i]; m.Kind == stock.Used {
			got[m.Part] += m.Qty
		}
	}
	gone := func(_ string, n float64) bool { return math.Abs(n) < 1e-9 }
	maps.DeleteFunc(want, gone)
	maps.DeleteFunc(got, gone)
	if diff := cmp.Diff(want, got); diff != "" || len(l.calls) != closings {
		t.Fatalf("%d calls, want %d; pieces used (-folded +log):\n%s", len(l.calls), closings, diff)
	}
}

// TestStockFile: what is kept is used where it fits the journal, and made anew
// where it is damaged, of another journal, or ahead of it.
func TestStockFile(t *testing.T) {
	dir := t.TempDir()
	s := openBase(t, dir, "testdata/base")
	defer func() { s.Close() }()
	if _, err := s.Count("shelf", testNow, []Pieces{{"nozzle-085", 4}}); err != nil {
		t.Fatal(err)
	}
	s = again(t, s)
	l, err := s.stockNow()
	if err != nil || l.changed || len(l.moves) != 1 {
		t.Fatalf("the log was not read: %+v, %v", l, err)
	}
	good, err := os.ReadFile(s.stockPath())
	if err != nil {
		t.Fatal(err)
	}
	other := openBase(t, t.TempDir(), "testdata/base")
	if _, err := other.Count("shelf", testNow, []Pieces{{"absorbent", 9}}); err != nil {
		t.Fatal(err)
	}
	if err := other.Close(); err != nil {
		t.Fatal(err)
	}
	foreign, err := os.ReadFile(other.stockPath())
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string][]byte{"cut short": good[:len(good)/2], "empty": {}, "no gob": []byte("part,qty\n"), "of another journal": foreign} {
		t.Run(name, func(t *testing.T) {
			if err := os.WriteFile(s.stockPath(), content, 0o600); err != nil {
				t.Fatal(err)
			}
			s = again(t, s)
			if err := os.WriteFile(s.stockPath(), content, 0o600); err != nil {
				t.Fatal(err)
			}
			books, err := s.Books()
			if err != nil {
				t.Fatal(err)
			}
			p := books.Part("nozzle-085")
			if n, ok := p.OnHand(); n != 4 || !ok || !s.stock.changed {
				t.Errorf("%g on hand, %v; made anew: %v", n, ok, s.stock.changed)
			}
		})
	}
	// Columns that do not fit each other are refused, not a crash.
	f := l.file()
	for name, spoil := range map[string]func(*stockFile){
		"a name that is not there": func(f *stockFile) { f.Parts = []int32{77} },
		"a name below 0":           func(f *stockFile) { f.Jobs = []int32{-1} },
		"a column too short":       func(f *stockFile) { f.Qtys = nil },
		"ids too short":            func(f *stockFile) { f.IDs = f.IDs[:20] },
		"calls without jobs":       func(f *stockFile) { f.CallSeconds = []int64{1} },
	} {
		bad := *f
		spoil(&bad)
		if _, err := bad.log(); err == nil {
			t.Errorf("%s: it was taken", name)
		}
	}
	back, err := f.log()
	if err != nil || !slices.Equal(back.moves, l.moves) {
		t.Errorf("written and read: %+v, %v; want %+v", back, err, l.moves)
	}
}

// TestStockWithoutStore: where nothing was recorded the books are empty.
func TestStockWithoutStore(t *testing.T) {
	s, err := Open(Config{Store: filepath.Join(t.TempDir(), "none"), Base: "testdata/base"})
	if err != nil {
		t.Fatal(err)
	}
	books, err := s.Books()
	if err != nil || len(books.Parts()) != 0 || !slices.Equal(books.Places(), []string{"shelf"}) {
		t.Errorf("parts %v, places %v, %v", books.Parts(), books.Places(), err)
	}
}

// manyPartEvents are n events of parts, a tenth of them counts.
func manyPartEvents(n int) []journal.Event {
	kinds := []journal.Kind{journal.KindPartUsed, journal.KindPartReceived, journal.KindPartUsed, journal.KindPartUsed, journal.KindPartMoved,
		journal.KindPartUsed, journal.KindPartOrdered, journal.KindPartUsed, journal.KindPartCounted, journal.KindPartUsed}
	events := make([]journal.Event, n)
	for i := range events {
		at := testNow.Add(time.Duration(i-n) * time.Minute)
		events[i] = journal.Event{ID: journal.EventIDFor(at, "bench", uint16(i)), At: at, By: "kim", V: journal.EventVersion, Kind: kinds[i/500%10],
			Part: fmt.Sprint("part-", i%500), Qty: new(float64(i%4 + 1)), Place: "shelf"}
		if events[i].Kind == journal.KindPartMoved {
			events[i].To = "truck-1"
		}
	}
	return events
}

// BenchmarkStock100000Events is what a command waits for in a shop of 100,000
// events of parts: kept is the books from what is kept beside the journal, one is
// one more event and writing it down again, anew is all events read again.
func BenchmarkStock100000Events(b *testing.B) {
	s := openBase(b, b.TempDir(), "testdata/base")
	defer func() { s.Close() }()
	if _, err := s.journal.AppendBatches(b.Context(), manyPartEvents(100_000)); err != nil {
		b.Fatal(err)
	}
	read := func() {
		s.books = nil
		if books, err := s.Books(); err != nil || len(books.Parts()) != 500 {
			b.Fatal(len(books.Parts()), err)
		}
	}
	read()
	s.keepStock()
	b.Run("kept", func(b *testing.B) {
		for b.Loop() {
			s.stock = nil
			read()
		}
	})
	b.Run("one", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Count("shelf", testNow, []Pieces{{"part-1", 4}}); err != nil {
				b.Fatal(err)
			}
			s.keepStock()
		}
	})
	b.Run("anew", func(b *testing.B) {
		for b.Loop() {
			s.stock = new(stockLog)
			read()
		}
	})
}
