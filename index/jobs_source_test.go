package index

import (
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"
	"testing"
	"time"
)

// fakeJobs is a journal of past jobs in memory: each event names a job.
type fakeJobs struct {
	name   string
	events []string
	closed map[string]PastJob
	fails  error
}

var opening = time.Date(2026, time.January, 5, 8, 0, 0, 0, time.UTC)

func newFakeJobs(name string) *fakeJobs { return &fakeJobs{name: name, closed: map[string]PastJob{}} }

// open records that a job is open, again or for the first time.
func (s *fakeJobs) open(id string) {
	s.events = append(s.events, id)
	delete(s.closed, id)
}

// close records the closing of a job.
func (s *fakeJobs) close(j PastJob) {
	s.events = append(s.events, j.ID)
	if j.Closed.IsZero() {
		j.Closed = opening.AddDate(0, 0, len(s.events))
	}
	if j.Family == "" {
		j.Family = "shop-heater"
	}
	s.closed[j.ID] = j
}

func (s *fakeJobs) eventID(seq uint64) string { return fmt.Sprintf("%s-%d", s.name, seq) }

func (s *fakeJobs) Stamp() (JobStamp, error) {
	n := uint64(len(s.events))
	return JobStamp{Journal: s.name, Seq: n, Last: s.eventID(n)}, s.fails
}

func (s *fakeJobs) EventAt(seq uint64) (string, error) {
	if seq > uint64(len(s.events)) {
		return "", nil
	}
	return s.eventID(seq), s.fails
}

func (s *fakeJobs) All() iter.Seq2[PastJob, error] {
	return func(yield func(PastJob, error) bool) {
		for _, id := range slices.SortedFunc(maps.Keys(s.closed), compareIDs) {
			if !yield(s.closed[id], nil) {
				return
			}
		}
	}
}

func (s *fakeJobs) ChangedSince(seq uint64) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		for _, id := range s.events[seq:] {
			if !yield(id, nil) {
				return
			}
		}
	}
}

func (s *fakeJobs) Closed(id string) (PastJob, bool, error) {
	j, ok := s.closed[id]
	return j, ok, nil
}

var errSource = errors.New("the journal cannot be read")

// openJobs opens the index of past jobs and closes it at the end of the test.
func openJobs(t testing.TB, dir string, s JobSource, opts JobOptions) *JobIndex {
	t.Helper()
	b := testBase()
	x, err := openMemory(t, b, Options{}).OpenJobs(dir, b, s, opts)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := x.Close(); err != nil {
			t.Error(err)
		}
	})
	return x
}
