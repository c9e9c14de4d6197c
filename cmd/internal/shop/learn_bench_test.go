package shop

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sootsayer/data"
	"sootsayer/kb"
	"sootsayer/ranker"
)

// BenchmarkLearnAndRank learns one closed job and ranks the next in the shipped
// base, in a shop that has closed the invented shop's jobs: in memory, and
// through the store, where writing to the disk and waiting for it is told apart
// from learning and ranking.
func BenchmarkLearnAndRank(b *testing.B) {
	for _, family := range []string{"oil-furnace", "used-oil-heater"} {
		b.Run("memory/"+family, func(b *testing.B) { learnInMemory(b, family) })
		b.Run("store/"+family, func(b *testing.B) { learnInStore(b, family) })
	}
}

// openDemo opens a shop of the shipped base that has closed the invented jobs.
func openDemo(b *testing.B) *Shop {
	b.Helper()
	s, err := Open(Config{Store: filepath.Join(b.TempDir(), "store"), By: "kim", Write: true, Now: data.DemoDay, Notice: func(string) {}})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	importText(b, s, data.DemoJobs())
	return s
}

// sampleJob is a closed job of the shop with some findings.
func sampleJob(b *testing.B, s *Shop, family string) kb.Job {
	b.Helper()
	for j, err := range s.Jobs() {
		if err != nil {
			b.Fatal(err)
		}
		if j.Family == family && len(j.Acts) >= 4 && j.Closing.Causes[0] != kb.Unlisted {
			return j
		}
	}
	b.Fatal("no such job")
	return kb.Job{}
}

func learnInMemory(b *testing.B, family string) {
	s := openDemo(b)
	j := sampleJob(b, s, family)
	d, err := s.current()
	if err != nil {
		b.Fatal(err)
	}
	e, err := s.Engine(family, j.Model, false)
	if err != nil {
		b.Fatal(err)
	}
	var counted, modelled, compiled, ranked time.Duration
	lap := func(to *time.Duration, since time.Time) time.Time {
		now := time.Now()
		*to += now.Sub(since)
		return now
	}
	for i := 0; b.Loop(); i++ {
		at := time.Now()
		if i%2 == 0 { // so that it stays the same shop
			d.counts.Add(&j)
		} else {
			d.counts.Remove(&j)
		}
		at = lap(&counted, at)
		m, err := d.counts.Model(s.base, family, j.Model, s.today())
		if err != nil {
			b.Fatal(err)
		}
		at = lap(&modelled, at)
		e = e.Relearn(m)
		at = lap(&compiled, at)
		belief, err := e.Believe(j.Acts[:2])
		if err != nil {
			b.Fatal(err)
		}
		belief.Rank(ranker.Options{Detail: 1})
		lap(&ranked, at)
	}
	report(b, map[string]time.Duration{"count": counted, "model": modelled, "compile": compiled, "rank": ranked})
}

// report adds how long each part of an operation took.
func report(b *testing.B, parts map[string]time.Duration) {
	for name, took := range parts {
		b.ReportMetric(took.Seconds()*1e3/float64(b.N), name+"-ms/op")
	}
}

func learnInStore(b *testing.B, family string) {
	s := openDemo(b)
	sample := sampleJob(b, s, family)
	if _, err := s.Believe(&sample); err != nil {
		b.Fatal(err)
	}
	closing := *sample.Closing
	closing.Confidence = 1e-6 // so that it stays the same shop
	var written, learned, ranked time.Duration
	for i := 0; b.Loop(); i++ {
		j, err := s.OpenJob(Complaint{Words: fmt.Sprint("call ", i), Family: family, Model: sample.Model, Symptoms: findings(&sample)})
		if err != nil {
			b.Fatal(err)
		}
		start := time.Now()
		if _, err := s.CloseJob(j, closing); err != nil {
			b.Fatal(err)
		}
		written += time.Since(start)
		start = time.Now()
		e, err := s.Engine(family, sample.Model, false)
		if err != nil {
			b.Fatal(err)
		}
		learned += time.Since(start)
		start = time.Now()
		belief, err := e.Believe(sample.Acts[:2])
		if err != nil {
			b.Fatal(err)
		}
		belief.Rank(ranker.Options{Detail: 1})
		ranked += time.Since(start)
	}
	report(b, map[string]time.Duration{"write": written, "learn": learned, "rank": ranked})
}

func findings(j *kb.Job) []kb.Finding {
	var list []kb.Finding
	for i := range j.Acts {
		if f := j.Acts[i].Finding; f != nil {
			list = append(list, *f)
		}
	}
	return list
}

// BenchmarkTakeIn takes in the events of imported jobs that are new to a shop,
// and beside it counts all of them anew.
func BenchmarkTakeIn(b *testing.B) {
	for _, jobs := range []int{1000, 4000} {
		s := openDemo(b)
		importText(b, s, demoRowsAgain(jobs))
		for name, take := range map[string]func() error{
			"stretches": func() error {
				d, err := s.emptyDerived()
				return errors.Join(err, s.catchUp(d))
			},
			"anew": func() error { _, err := s.recount(); return err },
		} {
			b.Run(fmt.Sprintf("jobs=%d/%s", jobs, name), func(b *testing.B) {
				for b.Loop() {
					if err := take(); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(b.Elapsed().Seconds()*1e6/float64(b.N)/float64(jobs), "s/million-jobs")
			})
		}
	}
}

// demoRowsAgain are the invented shop's rows again and again, under other numbers.
func demoRowsAgain(jobs int) string {
	lines := strings.SplitAfter(strings.TrimSpace(data.DemoJobs()), "\n")
	var rows []string
	for _, l := range lines[1:] {
		if strings.Count(l, ",") == strings.Count(lines[0], ",") && strings.HasSuffix(strings.TrimSpace(l), ",") {
			_, rest, _ := strings.Cut(strings.TrimSpace(l), ",")
			rows = append(rows, rest)
		}
	}
	var out strings.Builder
	out.WriteString(lines[0])
	for i := range jobs {
		fmt.Fprintf(&out, "%d,%s\n", 100000+i, rows[i%len(rows)])
	}
	return out.String()
}
