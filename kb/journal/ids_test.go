package journal

import (
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"
)

func TestNewEventIDRises(t *testing.T) {
	var ids []string
	for i := range 2000 {
		// The clock stands, goes on and goes back.
		ids = append(ids, NewEventID(monday.Add(time.Duration(i%7-3)*time.Hour)))
	}
	for i := 1; i < len(ids); i++ {
		if ids[i] <= ids[i-1] {
			t.Fatalf("id %d is %s after %s", i, ids[i], ids[i-1])
		}
	}
}

func TestNewEventIDConcurrent(t *testing.T) {
	const each = 500
	var wg sync.WaitGroup
	got := make([][]string, 8)
	for i := range got {
		wg.Go(func() {
			for range each {
				got[i] = append(got[i], NewEventID(monday))
			}
		})
	}
	wg.Wait()
	all := slices.Concat(got...)
	slices.Sort(all)
	if n := len(slices.Compact(all)); n != len(got)*each {
		t.Errorf("%d different ids, want %d", n, len(got)*each)
	}
	for i := range got {
		if !slices.IsSorted(got[i]) {
			t.Error("the ids of one goroutine do not rise")
		}
	}
}

func TestEventIDFor(t *testing.T) {
	a := EventIDFor(monday, "file.csv job 12", 1)
	if b := EventIDFor(monday, "file.csv job 12", 1); a != b {
		t.Errorf("the same record gives %s and %s", a, b)
	}
	if b := EventIDFor(monday, "file.csv job 12", 2); b <= a {
		t.Errorf("event 2 has id %s, not after %s", b, a)
	}
	if b := EventIDFor(monday, "file.csv job 13", 1); a[:10] != b[:10] || a[10:] == b[10:] {
		t.Errorf("another record gives %s after %s; want the same time and another rest", b, a)
	}
	parsed, err := ulid.ParseStrict(a)
	if err != nil || !ulid.Time(parsed.Time()).Equal(monday) {
		t.Errorf("the time of %s is %v (%v), want %v", a, ulid.Time(parsed.Time()).UTC(), err, monday)
	}
	for _, odd := range []time.Time{{}, time.Date(20000, 1, 1, 0, 0, 0, 0, time.UTC)} {
		if _, err := ulid.ParseStrict(EventIDFor(odd, "x", 0)); err != nil {
			t.Errorf("time %v: %v", odd, err)
		}
	}
}
