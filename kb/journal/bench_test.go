package journal

import (
	"context"
	"fmt"
	"testing"
)

// BenchmarkAppendOne appends one finding to an open job of 20 events; the disk
// has it before the next.
func BenchmarkAppendOne(b *testing.B) {
	s := filled(b, 500)
	n := 0
	for b.Loop() {
		e := s.NewEvent(KindFixTried, fmt.Sprint(n%500+1), "kim")
		e.Fix = "replace-nozzle"
		if _, err := s.Append(e); err != nil {
			b.Fatal(err)
		}
		n++
	}
}

// BenchmarkAppendBatch10000Events loads 500 jobs of 20 events each into an
// empty store.
func BenchmarkAppendBatch10000Events(b *testing.B) {
	events := jobEvents(500)
	for b.Loop() {
		b.StopTimer()
		s, err := Open(b.TempDir(), Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		if n, err := s.AppendBatches(context.Background(), events); err != nil || n != len(events) {
			b.Fatal(n, err)
		}
		b.StopTimer()
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
	}
}

// BenchmarkFoldJob20Events folds one job.
func BenchmarkFoldJob20Events(b *testing.B) {
	events := jobEvents(1)
	for b.Loop() {
		if job := FoldJob(events); !job.Closed() {
			b.Fatal("the job is open")
		}
	}
}

// BenchmarkReadJob20Events reads one folded job of 20 events out of 500.
func BenchmarkReadJob20Events(b *testing.B) {
	s := filled(b, 500)
	n := 0
	for b.Loop() {
		if _, err := s.Job(fmt.Sprint(n%500 + 1)); err != nil {
			b.Fatal(err)
		}
		n++
	}
}

// BenchmarkReadAll500Jobs goes through all jobs, as learning does.
func BenchmarkReadAll500Jobs(b *testing.B) {
	s := filled(b, 500)
	for b.Loop() {
		n := 0
		for _, err := range s.Jobs() {
			if err != nil {
				b.Fatal(err)
			}
			n++
		}
		if n != 500 {
			b.Fatal(n)
		}
	}
}

// BenchmarkOpen10000Events opens and closes a store to read, as every command
// does.
func BenchmarkOpen10000Events(b *testing.B) {
	s := filled(b, 500)
	if err := s.Close(); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r, err := Open(s.Dir(), Options{ReadOnly: true})
		if err != nil {
			b.Fatal(err)
		}
		if err := r.Close(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkVerify10000Events and BenchmarkRebuild10000Events are what a shop
// waits for on `verify`.
func BenchmarkVerify10000Events(b *testing.B) {
	s := filled(b, 500)
	for b.Loop() {
		if r, err := s.Verify(context.Background()); err != nil || !r.OK() {
			b.Fatal(r, err)
		}
	}
}

func BenchmarkRebuild10000Events(b *testing.B) {
	s := filled(b, 500)
	for b.Loop() {
		if err := s.Rebuild(); err != nil {
			b.Fatal(err)
		}
	}
}

func filled(b *testing.B, jobs int) *Store {
	b.Helper()
	s, err := Open(b.TempDir(), Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := s.Close(); err != nil {
			b.Error(err)
		}
	})
	if _, err := s.AppendBatches(context.Background(), jobEvents(jobs)); err != nil {
		b.Fatal(err)
	}
	return s
}

// jobEvents are 20 events for each job, the last of them its closing.
func jobEvents(jobs int) []Event {
	var events []Event
	for i := range jobs {
		job, n := fmt.Sprint(i+1), i*20
		events = append(events, opened(n, n, job, "oil-furnace"))
		for k := 1; k < 19; k++ {
			events = append(events, reading(n+k, n+k, job, "flame-eye-resistance", 1600))
		}
		events = append(events, closed(n+19, n+19, job, map[string]float64{"nozzle": 1}, "nozzle-plugged"))
	}
	return events
}
