package journal

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestAsOfAgainstPlainFold: a job as of an arrival number is what its events up
// to that one make, and so are its callbacks, however the events arrived.
func TestAsOfAgainstPlainFold(t *testing.T) {
	jobs := []string{"1", "2", "10", "x"}
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		s := openTest(t, fmt.Sprintf("%s/%d", dir, n), Options{})
		defer s.Close()
		events := rapid.Permutation(anyEvents(rt, jobs, 30)).Draw(rt, "order")
		mustAppend(t, s, events...)
		for _, seq := range []uint64{0, 1, uint64(rapid.IntRange(0, len(events)).Draw(rt, "seq")), uint64(len(events)), math.MaxUint64} {
			plain := plainAsOf(events, seq)
			for _, id := range jobs {
				got, there, err := s.JobAsOf(id, seq)
				want, known := plain[id]
				if err != nil || there != known {
					rt.Fatalf("job %s as of %d: there is %v, want %v; %v", id, seq, there, known, err)
				}
				wantEqual(t, fmt.Sprintf("job %s as of %d", id, seq), got, want)
				back, err := s.CallbacksAsOf(id, seq)
				if err != nil {
					rt.Fatal(err)
				}
				wantEqual(t, fmt.Sprintf("callbacks of %s as of %d", id, seq), back, plainCallbacks(plain, id))
			}
		}
	})
}

// plainAsOf folds the first events that arrived, job by job.
func plainAsOf(events []Event, seq uint64) map[string]kb.Job {
	out := make(map[string]kb.Job)
	own := make(map[string][]Event)
	for i, e := range events {
		if e.Job != "" && uint64(i) < seq {
			own[e.Job] = append(own[e.Job], e)
			out[e.Job] = plainFold(own[e.Job])
		}
	}
	return out
}

func plainCallbacks(jobs map[string]kb.Job, of string) (back []kb.Job) {
	for _, j := range jobs {
		if j.CallbackOf == of {
			back = append(back, j)
		}
	}
	slices.SortFunc(back, func(a, b kb.Job) int {
		return cmp.Or(a.Opened.Compare(b.Opened), strings.Compare(a.ID, b.ID))
	})
	return back
}
