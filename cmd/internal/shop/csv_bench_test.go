package shop

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"sootsayer/data"
	"sootsayer/index"
)

// invented writes n jobs of the shape of the invented shop's: its jobs drawn over
// and over, with numbers of their own and spread over twenty years. It reads as
// a file and takes no memory, however many there are.
func invented(n int) io.Reader {
	rows, err := csv.NewReader(strings.NewReader(data.DemoJobs())).ReadAll()
	if err != nil {
		panic(err) // the invented shop is part of the program
	}
	var plain [][]string
	for _, r := range rows[1:] {
		if r[colCallbackOf] == "" {
			plain = append(plain, r)
		}
	}
	in, out := io.Pipe()
	go func() {
		w := csv.NewWriter(out)
		err := w.Write(columnNames[:numContract])
		rng := rand.New(rand.NewPCG(1, 2))
		for i := 0; i < n && err == nil; i++ {
			err = w.Write(redated(plain[rng.IntN(len(plain))], i, n))
		}
		w.Flush()
		out.CloseWithError(err)
	}()
	return in
}

// redated is a row as the i-th of n jobs of twenty years.
func redated(row []string, i, n int) []string {
	r := append([]string(nil), row...)
	opened, _ := time.Parse(time.RFC3339, r[colOpened])
	closed, _ := time.Parse(time.RFC3339, r[colClosed])
	const years = 20 * 365 * 24 * 60 // in minutes
	at := time.Date(2004, 1, 1, 7, 0, 0, 0, time.UTC).Add(time.Duration(float64(i)/float64(n)*years) * time.Minute)
	r[colJob], r[colOpened], r[colClosed] = fmt.Sprint(i+1), timeText(at), timeText(at.Add(closed.Sub(opened)))
	return r
}

// BenchmarkImportJob imports jobs of the invented shop's shape into a new store:
// read, checked, written to the journal with all its look-ups, on the disk, and
// counted. A million of them:
//
//	go test ./cmd/internal/shop -run xxx -bench 'ImportJob$' -benchtime 1000000x -timeout 1h
func BenchmarkImportJob(b *testing.B) { benchmarkImport(b, importBatch, false) }

// BenchmarkImportJobIndexed adds the search index of past jobs, which is brought
// up to date by the first search after the import.
func BenchmarkImportJobIndexed(b *testing.B) { benchmarkImport(b, importBatch, true) }

// BenchmarkImportJobEvents is the same with transactions of other sizes, down to
// one for every row.
func BenchmarkImportJobEvents(b *testing.B) {
	for _, events := range []int{1, 250, 1000, 4000, 16000, 64000} {
		b.Run(fmt.Sprint(events), func(b *testing.B) { benchmarkImport(b, events, false) })
	}
}

func benchmarkImport(b *testing.B, batch int, indexed bool) {
	dir := filepath.Join(b.TempDir(), "store")
	s, err := Open(Config{Store: dir, By: "kim", Write: true, Now: data.DemoDay})
	if err != nil {
		b.Fatal(err)
	}
	var peak memory
	b.ResetTimer()
	did, err := s.ImportJobs(b.Context(), invented(b.N), ImportOptions{File: "invented", batch: batch, Problem: func(p RowProblem) { b.Error(p) },
		Progress: func(_ int64, rows int) {
			if rows%1000 == 0 {
				peak.look()
			}
		}})
	if err != nil || did.Imported != b.N {
		b.Fatalf("%+v, error %v", did, err)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "rows/s")
	if indexed {
		start := time.Now()
		findNoHeat(b, s)
		peak.look()
		b.ReportMetric(time.Since(start).Seconds()*1e6/float64(b.N), "index-µs/row")
	}
	start := time.Now()
	if err := s.Close(); err != nil { // counts what it imported
		b.Fatal(err)
	}
	peak.look()
	b.StopTimer()
	b.ReportMetric(time.Since(start).Seconds()*1e6/float64(b.N), "count-µs/row")
	if file, err := os.Stat(filepath.Join(dir, "journal.db")); err == nil {
		b.ReportMetric(float64(file.Size())/float64(b.N), "disk-B/row")
	}
	peak.report(b)
}

// findNoHeat searches the past jobs once.
func findNoHeat(b *testing.B, s *Shop) {
	x, err := s.Index()
	if err != nil {
		b.Fatal(err)
	}
	defer x.Close()
	hits, err := s.FindJobs(b.Context(), x, index.Query{Text: "no heat", Limit: 5}, nil)
	if err != nil || len(hits) == 0 {
		b.Fatalf("%d jobs found, error %v", len(hits), err)
	}
}

// BenchmarkReadJob only reads and checks the rows, as a dry run does, so that the
// cost of the journal shows beside BenchmarkImportJob.
func BenchmarkReadJob(b *testing.B) {
	s, err := Open(Config{Store: filepath.Join(b.TempDir(), "none"), Now: data.DemoDay})
	if err != nil {
		b.Fatal(err)
	}
	var peak memory
	b.ResetTimer()
	did, err := s.DryRunJobs(b.Context(), invented(b.N), ImportOptions{File: "invented", Progress: func(_ int64, rows int) {
		if rows%1000 == 0 {
			peak.look()
		}
	}})
	if err != nil || did.Good != b.N {
		b.Fatalf("%+v, error %v", did, err)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "rows/s")
	peak.report(b)
}

// memory is the most that a benchmark was seen to hold, in bytes: what Go holds,
// and, where the system tells, what of the process is in memory and its own. The
// rest of what is in memory are pages of the journal, which the system takes back
// when it needs them.
type memory struct{ held, own, all uint64 }

func (m *memory) look() {
	s := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	metrics.Read(s)
	m.held = max(m.held, s[0].Value.Uint64()-s[1].Value.Uint64())
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return
	}
	for line := range bytes.Lines(status) {
		var kB uint64
		if n, _ := fmt.Sscanf(string(line), "RssAnon: %d kB", &kB); n == 1 {
			m.own = max(m.own, kB<<10)
		}
		if n, _ := fmt.Sscanf(string(line), "VmHWM: %d kB", &kB); n == 1 {
			m.all = max(m.all, kB<<10)
		}
	}
}

func (m *memory) report(b *testing.B) {
	b.ReportMetric(float64(m.held)/1e6, "go-MB")
	b.ReportMetric(float64(m.own)/1e6, "own-MB")
	b.ReportMetric(float64(m.all)/1e6, "peak-MB")
}
