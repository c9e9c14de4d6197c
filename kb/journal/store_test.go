package journal

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestAppendAndRead(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	n, err := s.Append(oneOfEach()...)
	if err != nil || n != 15 {
		t.Fatalf("Append = %d, %v, want 15", n, err)
	}
	seq, err := s.Seq()
	if err != nil || seq != 15 {
		t.Errorf("Seq = %d, %v, want 15", seq, err)
	}
	events, err := s.Events("1")
	if err != nil {
		t.Fatal(err)
	}
	job, err := s.Job("1")
	if err != nil {
		t.Fatal(err)
	}
	wantEqual(t, "Job", job, FoldJob(events))
	if len(events) != 8 || len(job.Acts) != 2 || len(job.Past) != 1 {
		t.Errorf("%d events, %d acts and %d past closings, want 8, 2 and 1", len(events), len(job.Acts), len(job.Past))
	}
	for i, want := range oneOfEach() {
		n := 0
		for e, err := range s.EventsOf(want.Kind) {
			if err != nil {
				t.Fatal(err)
			}
			if n++; e.ID != want.ID || e.Seq != uint64(i+1) {
				t.Errorf("EventsOf(%s): number %d %s, want %d %s", want.Kind, e.Seq, e.ID, i+1, want.ID)
			}
		}
		if n != 1 {
			t.Errorf("EventsOf(%s) gave %d events, want 1", want.Kind, n)
		}
	}
	loose, err := s.UnbookedParts()
	if err != nil || len(loose) != 1 || loose[0].ID != id(9, 9) {
		t.Errorf("UnbookedParts = %v, %v, want the part used after the job was reopened", loose, err)
	}
	wantSound(t, s)
}

func TestAppendIsIdempotent(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	events := oneOfEach()
	mustAppend(t, s, events...)
	before := contentsOf(t, s)

	// The same acts told otherwise: in another zone, with the closing's own
	// time written out, with other spaces.
	for i := range events {
		events[i].At = events[i].At.In(time.FixedZone("", -6*3600))
	}
	c := *events[5].Closing
	c.At, c.By = at(6), "kim"
	events[5].Closing = &c
	events[12].Change = json.RawMessage("{\n \"minutes\": 4.50, \"id\": \"draft\", \"list\": \"checks\"}")
	for range 2 {
		n, err := s.Append(append(events, events...)...)
		if err != nil || n != 0 {
			t.Fatalf("Append = %d, %v, want 0", n, err)
		}
	}
	wantEqual(t, "contents", contentsOf(t, s), before)
}

func TestAppendIsAllOrNone(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	mustAppend(t, s, opened(1, 1, "1", "oil-furnace"))
	before := contentsOf(t, s)

	other := tried(1, 1, "1", "replace-nozzle") // the id of the opening
	if _, err := s.Append(tried(2, 2, "1", "a"), other); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), other.ID) {
		t.Errorf("Append of a taken id = %v, want ErrConflict naming it", err)
	}
	if _, err := s.Append(tried(2, 2, "1", "a"), tried(2, 2, "1", "b")); !errors.Is(err, ErrConflict) {
		t.Errorf("Append of one id twice = %v, want ErrConflict", err)
	}
	if _, err := s.Append(tried(2, 2, "1", "a"), tried(3, 3, "1", "")); !errors.Is(err, ErrInvalid) {
		t.Errorf("Append of an invalid event = %v, want ErrInvalid", err)
	}
	long := opened(2, 2, "1", "oil-furnace")
	long.Complaint = strings.Repeat("no heat ", maxEvent/8)
	if _, err := s.Append(long); !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), "bytes long") {
		t.Errorf("Append of an endless complaint = %v, want ErrInvalid", err)
	}
	if n, err := s.Append(); n != 0 || err != nil {
		t.Errorf("Append of nothing = %d, %v", n, err)
	}
	wantEqual(t, "contents", contentsOf(t, s), before)
	wantSound(t, s)
}

func TestUnknownFieldsSurviveTheStore(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	e := found1(1, 1, "1", "draft", "ok")
	e.Extra = map[string]json.RawMessage{"photo": []byte(`"p.jpg"`), "finding": []byte(`{"gauge":"B2"}`)}
	mustAppend(t, s, e)
	if err := s.Rebuild(); err != nil {
		t.Fatal(err)
	}
	events, err := s.Events("1")
	if err != nil {
		t.Fatal(err)
	}
	wantEqual(t, "events", events, []Event{e})
}

func TestAppendBatches(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	var events []Event
	for i := range batchSize + 10 {
		job := fmt.Sprint(i%700 + 1)
		switch i / 700 {
		case 0:
			events = append(events, opened(i, i, job, "oil-furnace"))
		default:
			events = append(events, found1(i, i, job, "draft", "ok"))
		}
	}
	slices.Reverse(events)
	n, err := s.AppendBatches(context.Background(), events)
	if err != nil || n != len(events) {
		t.Fatalf("AppendBatches = %d, %v, want %d", n, err, len(events))
	}
	if n, err := s.AppendBatches(context.Background(), events); n != 0 || err != nil {
		t.Errorf("AppendBatches again = %d, %v, want 0", n, err)
	}
	for e, err := range s.EventsSince(0) {
		if err != nil {
			t.Fatal(err)
		}
		if want := events[len(events)-int(e.Seq)].ID; e.ID != want {
			t.Fatalf("event number %d is %s, want %s: sorted", e.Seq, e.ID, want)
		}
	}
	wantSound(t, s)

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if n, err := s.AppendBatches(ctx, []Event{tried(1, 50000, "1", "a")}); n != 0 || !errors.Is(err, context.Canceled) {
		t.Errorf("AppendBatches after cancel = %d, %v", n, err)
	}
	bad := []Event{tried(1, 50000, "1", "a"), tried(2, 50001, "1", "")}
	if n, err := s.AppendBatches(context.Background(), bad); n != 0 || !errors.Is(err, ErrInvalid) {
		t.Errorf("AppendBatches with an invalid event = %d, %v, want none recorded", n, err)
	}
}

func TestJobsInOrder(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	want := []string{"0", "2", "9", "10", "100", "007", "A-1", "b"}
	for i, job := range []string{"b", "10", "9", "100", "007", "2", "A-1", "0"} {
		mustAppend(t, s, opened(i, i, job, "oil-furnace"))
	}
	var got []string
	for j, err := range s.Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, j.ID)
	}
	wantEqual(t, "jobs", got, want)
	for range s.Jobs() {
		break // a loop may end early
	}
	if next, err := s.NextJobID(); next != "101" || err != nil {
		t.Errorf("NextJobID = %s, %v, want 101", next, err)
	}
	if _, err := s.Job("11"); !errors.Is(err, ErrNoJob) || !strings.Contains(err.Error(), "11") {
		t.Errorf("Job(11) = %v, want ErrNoJob", err)
	}
	if events, err := s.Events("1"); len(events) != 0 || err != nil {
		t.Errorf("Events(1) = %v, %v, want none: not those of 10 or 100", events, err)
	}
}

func TestNextJobID(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	for _, step := range []struct{ open, want string }{
		{"", "1"}, {"A-5", "1"}, {"7", "8"}, {"3", "8"}, {"0099", "8"}, {"99", "100"}, {"999999999999999998", "999999999999999999"},
	} {
		if step.open != "" {
			mustAppend(t, s, opened(1, len(step.open)*1000+int(step.open[0]), step.open, "oil-furnace"))
		}
		if got, err := s.NextJobID(); got != step.want || err != nil {
			t.Errorf("NextJobID after %q = %s, %v, want %s", step.open, got, err, step.want)
		}
	}
	mustAppend(t, s, opened(1, 1, "999999999999999999", "oil-furnace"))
	if got, err := s.NextJobID(); err == nil {
		t.Errorf("NextJobID after the last number = %s, want an error", got)
	}
}

func TestOpenJobConcurrently(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	const people, each = 8, 20
	var wg sync.WaitGroup
	got := make([][]string, people)
	for p := range people {
		wg.Go(func() {
			for range each {
				job, err := s.OpenJob(func(job string) []Event {
					e := s.NewEvent(KindJobOpened, job, fmt.Sprint("person ", p))
					e.Family = "oil-furnace"
					f := s.NewEvent(KindFindingRecorded, job, "")
					f.Finding = found1(1, 1, job, "draft", "ok").Finding
					return []Event{e, f}
				})
				if err != nil {
					t.Error(err)
					return
				}
				got[p] = append(got[p], job)
				if j, err := s.Job(job); err != nil || j.By != fmt.Sprint("person ", p) || len(j.Acts) != 1 {
					t.Errorf("job %s = %+v, %v, want that of person %d", job, j, err, p)
				}
			}
		})
	}
	wg.Wait()
	all := slices.Concat(got...)
	slices.Sort(all)
	if n := len(slices.Compact(all)); n != people*each {
		t.Errorf("%d different jobs, want %d", n, people*each)
	}
	wantSound(t, s)
	if _, err := s.OpenJob(func(job string) []Event { return []Event{opened(1, 1, job, "")} }); !errors.Is(err, ErrInvalid) {
		t.Errorf("OpenJob without a family = %v, want ErrInvalid", err)
	}
}

// TestConcurrentUse reads, loops, appends inside loops and verifies at once.
func TestConcurrentUse(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	for i := range 600 {
		mustAppend(t, s, opened(i, i, fmt.Sprint(i+1), "oil-furnace"))
	}
	var wg sync.WaitGroup
	for g := range 4 {
		wg.Go(func() {
			n := 0
			for j, err := range s.Jobs() {
				if err != nil {
					t.Error(err)
					return
				}
				if n++; n%50 == 0 {
					e := s.NewEvent(KindFixTried, j.ID, "")
					e.Fix = "replace-nozzle"
					if _, err := s.Append(e, opened(g, 1000*(g+1)+n, fmt.Sprint(1000*(g+1)+n), "oil-furnace")); err != nil {
						t.Error(err)
					}
				}
			}
			if n < 600 {
				t.Errorf("a loop met %d jobs, want at least the 600 of its beginning", n)
			}
		})
	}
	wg.Go(func() {
		for range 3 {
			if r, err := s.Verify(context.Background()); err != nil || !r.OK() {
				t.Errorf("Verify = %+v, %v", r, err)
			}
		}
	})
	wg.Wait()
	wantSound(t, s)
}

func TestEventsSince(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	for i := range 3*chunk + 5 {
		mustAppend(t, s, tried(i, i, fmt.Sprint(i), "a"))
	}
	for _, since := range []uint64{0, 1, chunk, 3*chunk + 4, 3*chunk + 5, 9999} {
		next := since + 1
		for e, err := range s.EventsSince(since) {
			if err != nil || e.Seq != next || e.ID != id(int(next-1), int(next-1)) {
				t.Fatalf("EventsSince(%d) = number %d %s, %v, want number %d", since, e.Seq, e.ID, err, next)
			}
			next++
			mustAppend(t, s, e.Event) // already there; a loop may use the store
		}
		if want := max(since, 3*chunk+5) + 1; next != want {
			t.Errorf("EventsSince(%d) ended before %d, want %d", since, next, want)
		}
	}
}

func TestNewEvent(t *testing.T) {
	now := monday.Add(1234567 * time.Nanosecond)
	s := openTest(t, t.TempDir(), Options{Now: func() time.Time { return now }})
	e := s.NewEvent(KindJobReopened, "12", "kim")
	if err := e.Validate(); err != nil {
		t.Error(err)
	}
	want := Event{ID: e.ID, At: monday.Add(time.Millisecond), By: "kim", Kind: KindJobReopened, Job: "12", V: 1}
	wantEqual(t, "NewEvent", e, want)
}

// TestFullDisk: what cannot be written is an error, changes nothing and can be
// done again.
func TestFullDisk(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	mustAppend(t, s, oneOfEach()...)
	before := contentsOf(t, s)
	s.db.MaxSize = 1 << 10
	big := opened(20, 20, "20", "oil-furnace")
	big.Complaint = strings.Repeat("no heat ", 50_000)
	if _, err := s.Append(big); err == nil || !strings.Contains(err.Error(), "disk is full") {
		t.Errorf("Append = %v, want an error about the disk", err)
	}
	wantEqual(t, "contents", contentsOf(t, s), before)
	s.db.MaxSize = 0
	mustAppend(t, s, big)
	wantSound(t, s)
}

func TestClosedStore(t *testing.T) {
	s, err := Open(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := s.Close(); err != nil {
			t.Errorf("Close = %v", err)
		}
	}
	if _, err := s.Append(tried(1, 1, "1", "a")); !errors.Is(err, ErrClosed) {
		t.Errorf("Append = %v, want ErrClosed", err)
	}
	if _, err := s.Job("1"); !errors.Is(err, ErrClosed) {
		t.Errorf("Job = %v, want ErrClosed", err)
	}
	if _, err := s.Verify(context.Background()); !errors.Is(err, ErrClosed) {
		t.Errorf("Verify = %v, want ErrClosed", err)
	}
	for _, err := range s.Jobs() {
		if !errors.Is(err, ErrClosed) {
			t.Errorf("Jobs = %v, want ErrClosed", err)
		}
	}
}
