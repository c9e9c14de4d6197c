package index

import (
	"context"
	"fmt"
	"iter"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// manyJobs are n made-up jobs: complaints of testdata/complaints.txt with words
// swapped and mistyped, notes of words drawn from them, made anew whenever they
// are read.
type manyJobs struct {
	*fakeJobs
	n          int
	complaints []string
	words      []string
	causes     []string
}

func newManyJobs(t testing.TB, n int) *manyJobs {
	s := &manyJobs{fakeJobs: newFakeJobs("many"), n: n}
	for _, c := range readComplaints(t) {
		s.complaints = append(s.complaints, c.text)
		s.words = append(s.words, strings.Fields(c.text)...)
	}
	for _, c := range shippedBase(t).Causes {
		s.causes = append(s.causes, c.ID)
	}
	return s
}

func (s *manyJobs) Stamp() (JobStamp, error) {
	return JobStamp{Journal: s.name, Seq: uint64(s.n), Last: s.eventID(uint64(s.n))}, nil
}

func (s *manyJobs) EventAt(seq uint64) (string, error) { return s.eventID(seq), nil }

func (s *manyJobs) All() iter.Seq2[PastJob, error] {
	return func(yield func(PastJob, error) bool) {
		for i := range s.n {
			if !yield(s.job(i+1), nil) {
				return
			}
		}
	}
}

func (s *manyJobs) ChangedSince(seq uint64) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		for i := seq; i < uint64(s.n); i++ {
			if !yield(fmt.Sprint(i+1), nil) {
				return
			}
		}
	}
}

func (s *manyJobs) Closed(id string) (PastJob, bool, error) {
	n := 0
	_, err := fmt.Sscan(id, &n)
	return s.job(n), true, err
}

// job is the n-th job.
func (s *manyJobs) job(n int) PastJob {
	r := rand.New(rand.NewPCG(uint64(n), 11))
	words := strings.Fields(s.complaints[r.IntN(len(s.complaints))])
	if r.IntN(3) == 0 {
		i := r.IntN(len(words))
		words[i] = mistype(r, words[i])
	}
	if r.IntN(2) == 0 {
		words = append(words, s.words[r.IntN(len(s.words))], fmt.Sprintf("unit%d", r.IntN(5000)))
	}
	note := make([]string, r.IntN(12))
	for i := range note {
		note[i] = s.words[r.IntN(len(s.words))]
	}
	return PastJob{ID: fmt.Sprint(n), Family: []string{"oil-furnace", "used-oil-heater"}[r.IntN(2)], Confidence: 1,
		Complaint: strings.Join(words, " "), Notes: []string{strings.Join(note, " ")},
		Causes: []string{s.causes[r.IntN(len(s.causes))]}, Closed: opening.Add(time.Duration(n) * time.Minute)}
}

// mistype swaps two letters of a word.
func mistype(r *rand.Rand, word string) string {
	letters := []rune(word)
	if len(letters) < 4 {
		return word
	}
	i := 1 + r.IntN(len(letters)-2)
	letters[i], letters[i+1] = letters[i+1], letters[i]
	return string(letters)
}

// BenchmarkIndexJobs100000 builds the index of 100,000 past jobs on disk.
func BenchmarkIndexJobs100000(b *testing.B) {
	base := shippedBase(b)
	x := openMemory(b, base, Options{})
	s := newManyJobs(b, 100_000)
	for i := 0; b.Loop(); i++ {
		jobs, err := x.OpenJobs(fmt.Sprintf("%s/%d", b.TempDir(), i), base, s, JobOptions{})
		if err != nil {
			b.Fatal(err)
		}
		if err := jobs.Close(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(s.n)*float64(b.N)/b.Elapsed().Seconds(), "jobs/s")
}

// BenchmarkJobs measures an index of 100,000 past jobs that is there: opening
// it, taking in one changed job, and searching it.
func BenchmarkJobs(b *testing.B) {
	base := shippedBase(b)
	x := openMemory(b, base, Options{})
	s, dir := newManyJobs(b, 100_000), b.TempDir()
	open := func(b *testing.B) *JobIndex {
		jobs, err := x.OpenJobs(dir, base, s, JobOptions{})
		if err != nil {
			b.Fatal(err)
		}
		return jobs
	}
	close := func(b *testing.B, jobs *JobIndex) {
		if err := jobs.Close(); err != nil {
			b.Fatal(err)
		}
	}
	close(b, open(b))
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			close(b, open(b))
		}
	})
	b.Run("open_1_changed", func(b *testing.B) {
		for b.Loop() {
			s.n++
			close(b, open(b))
		}
	})
	b.Run("search", func(b *testing.B) {
		jobs := open(b)
		defer close(b, jobs)
		times := make([]time.Duration, 0, b.N)
		for i := 0; b.Loop(); i++ {
			start := time.Now()
			if _, err := jobs.Search(context.Background(), Query{Text: s.complaints[i%len(s.complaints)], Limit: 8}); err != nil {
				b.Fatal(err)
			}
			times = append(times, time.Since(start))
		}
		slices.Sort(times)
		b.ReportMetric(p95(times), "p95-ms")
	})
}
