package journal

import (
	"fmt"
	"maps"
	"sort"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// plainFold is the meaning of a job's events said in another way than FoldJob
// does it: not by going through them with a state in hand, but by asking of
// each event what lies before it. It is slow and is the oracle.
func plainFold(events []Event) kb.Job {
	byID := make(map[string]Event)
	gone := make(map[string]bool)
	for _, e := range events {
		byID[e.ID] = e
		if e.Kind == KindFindingWithdrawn {
			gone[e.Of] = true
		}
	}
	var list []Event
	for _, e := range byID {
		if e.Kind == KindJobOpened || !gone[e.ID] && e.Kind != KindFindingWithdrawn {
			list = append(list, e)
		}
	}
	sort.Slice(list, func(i, j int) bool {
		a, b := list[i], list[j]
		return a.At.UnixNano() < b.At.UnixNano() || a.At.UnixNano() == b.At.UnixNano() && a.ID < b.ID
	})
	var job kb.Job
	for _, e := range events {
		job.ID = e.Job
	}
	// Two times over the list: first where each stretch of the job begins,
	// then what lies in it.
	stretches := 1
	stretch := make([]int, len(list))
	for i, e := range list {
		if e.Kind == KindJobReopened && closedBefore(list, i) {
			stretches++
		}
		stretch[i] = stretches
	}
	for i := len(list) - 1; i >= 0; i-- {
		if e := list[i]; e.Kind == KindJobOpened {
			job.Family, job.Model, job.Appliance, job.Complaint = e.Family, e.Model, e.Appliance, e.Complaint
			job.CallbackOf, job.Opened, job.By = e.CallbackOf, e.At, e.By
		}
	}
	for i, e := range list {
		a := kb.Act{Event: e.ID, At: e.At, By: e.By}
		switch e.Kind {
		case KindFindingRecorded:
			a.Finding = e.Finding
		case KindFixTried:
			a.Tried = e.Fix
		case KindStateChanged:
			a.State = e.State
		default:
			continue
		}
		if !closedBefore(list, i) {
			job.Acts = append(job.Acts, a)
		}
	}
	for s := 1; s <= stretches; s++ {
		c := closingIn(list, stretch, s)
		switch {
		case c == nil:
		case s < stretches:
			job.Past = append(job.Past, *c)
		default:
			job.Closing = c
		}
	}
	return job
}

// closedBefore tells whether the nearest closing or reopening before is a closing.
func closedBefore(list []Event, i int) bool {
	for i--; i >= 0; i-- {
		if k := list[i].Kind; k == KindJobClosed || k == KindJobReopened {
			return k == KindJobClosed
		}
	}
	return false
}

// closingIn is the last closing of a stretch with all parts booked in it.
func closingIn(list []Event, stretch []int, s int) *kb.Closing {
	var closing *kb.Closing
	for i, e := range list {
		if stretch[i] == s && e.Kind == KindJobClosed {
			c := *e.Closing
			c.At, c.By = e.At, e.By
			c.Used = maps.Clone(c.Used)
			closing = &c
		}
	}
	if closing == nil {
		return nil
	}
	used := map[string]float64{}
	maps.Copy(used, closing.Used)
	for i, e := range list {
		if stretch[i] == s && e.Kind == KindPartUsed {
			used[e.Part] += *e.Qty
		}
	}
	maps.DeleteFunc(used, func(_ string, n float64) bool { return n == 0 })
	stated := closing.Used != nil
	if closing.Used = used; len(used) == 0 && !stated {
		closing.Used = nil
	}
	return closing
}

// anyEvents draws the events of a few jobs, in any order of time, with ties,
// withdrawals of anything and closings again and again.
func anyEvents(t *rapid.T, jobs []string, most int) []Event {
	kinds := []Kind{KindJobOpened, KindFindingRecorded, KindFindingRecorded, KindFixTried, KindStateChanged,
		KindFindingWithdrawn, KindJobClosed, KindJobReopened, KindPartUsed, KindPhraseChosen, KindPartCounted}
	var events []Event
	for n := range rapid.IntRange(1, most).Draw(t, "events") {
		kind := rapid.SampledFrom(kinds).Draw(t, "kind")
		job := rapid.SampledFrom(jobs).Draw(t, "job")
		minute := rapid.IntRange(0, 12).Draw(t, "minute")
		e := event(n, minute, kind, job)
		word := rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "word")
		switch kind {
		case KindJobOpened:
			e.Family = "family-" + word
			if earlier := rapid.SampledFrom(append([]string{""}, jobs...)).Draw(t, "callback of"); earlier != job {
				e.CallbackOf = earlier
			}
		case KindFindingRecorded:
			e.Finding = &kb.Finding{Kind: kb.KindCheck, ID: word, Weights: map[string]float64{"low": 0.25, "ok": 0.75}}
		case KindFixTried:
			e.Fix = word
		case KindStateChanged:
			e.State = map[string]string{"power": word}
		case KindFindingWithdrawn:
			e.Of = id(n+1, minute) // nobody's unless it is drawn from the others
			if len(events) > 0 {
				e.Of = rapid.SampledFrom(events).Draw(t, "of").ID
			}
		case KindJobClosed:
			e.Closing = &kb.Closing{Causes: []string{word}, Confidence: 1, Used: map[string]float64{word: 1}}
		case KindPartUsed:
			e.Part, e.Qty = word, new(rapid.SampledFrom([]float64{-1, 1, 2}).Draw(t, "qty"))
		case KindPartCounted:
			e.Job, e.Part, e.Qty = "", word, new(1.0)
		case KindPhraseChosen:
			e.Job, e.Phrase, e.Symptom, e.Withdrawn = "", word+" "+word, "s", rapid.Bool().Draw(t, "back")
		}
		events = append(events, e)
	}
	return events
}

func TestFoldJobAgainstPlainFold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var events []Event
		for _, e := range anyEvents(t, []string{"1"}, 40) {
			if e.Job == "1" {
				events = append(events, e)
			}
		}
		want := plainFold(events)
		if diff := cmp.Diff(want, FoldJob(events)); diff != "" {
			t.Fatalf("FoldJob (-plain +got):\n%s", diff)
		}
		shuffled := rapid.Permutation(append(events, events...)).Draw(t, "order")
		if diff := cmp.Diff(want, FoldJob(shuffled)); diff != "" {
			t.Fatalf("FoldJob of each event twice in another order (-plain +got):\n%s", diff)
		}
	})
}

// TestStoreAgainstPlainFold appends the same events in several orders and
// portions, some twice, and compares the stores with each other and with the
// plain fold.
func TestStoreAgainstPlainFold(t *testing.T) {
	jobs := []string{"1", "2", "10", "x"}
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		events := anyEvents(rt, jobs, 30)
		var first contents
		for round := range 2 {
			n++
			s := openTest(t, fmt.Sprintf("%s/%d", dir, n), Options{})
			order := rapid.Permutation(events).Draw(rt, "order")
			added := 0
			for len(order) > 0 {
				k := min(rapid.IntRange(1, 10).Draw(rt, "portion"), len(order))
				got, err := s.Append(order[:k]...)
				if err != nil {
					rt.Fatal(err)
				}
				added += got
				again, err := s.Append(rapid.Permutation(order[:k]).Draw(rt, "again")...)
				if err != nil || again != 0 {
					rt.Fatalf("appended twice: %d new, %v", again, err)
				}
				order = order[k:]
			}
			if added != len(events) {
				rt.Fatalf("%d events were new, want %d", added, len(events))
			}
			wantSound(t, s)
			got := contentsOf(t, s)
			if round == 0 {
				first = got
			} else if diff := cmp.Diff(first, got); diff != "" {
				rt.Fatalf("another order of arrival (-first +second):\n%s", diff)
			}
			if err := s.Close(); err != nil {
				rt.Fatal(err)
			}
		}
		for _, job := range first.Jobs {
			var own []Event
			for _, e := range events {
				if e.Job == job.ID {
					own = append(own, e)
				}
			}
			if diff := cmp.Diff(plainFold(own), job); diff != "" {
				rt.Fatalf("job %s (-plain +got):\n%s", job.ID, diff)
			}
		}
	})
}
