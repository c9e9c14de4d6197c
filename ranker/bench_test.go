package ranker

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"sootsayer/kb"
)

// bigModel makes a model of n causes, each with its own fix, and n checks with
// the given number of rows: single faults, two outcomes.
func bigModel(n, rows int) *kb.Model {
	rng := rand.New(rand.NewPCG(1, 2))
	m := &kb.Model{Family: "big", Unlisted: 0.04, Escalation: 150, Floor: 1e-4}
	var total float64
	for i := range n {
		w := rng.ExpFloat64()
		total += w
		m.Causes = append(m.Causes, kb.ModelCause{ID: fmt.Sprintf("cause-%05d", i), Share: w, Fix: i})
		m.Fixes = append(m.Fixes, kb.ModelFix{ID: fmt.Sprintf("fix-%05d", i), Minutes: 5 + 50*rng.Float64(), Proof: -1, Cures: 0.95})
	}
	for i := range m.Causes {
		m.Causes[i].Share /= total
	}
	for i := range n {
		o := kb.Observable{Kind: kb.KindCheck, ID: fmt.Sprintf("check-%05d", i), Minutes: 1 + 10*rng.Float64(),
			Outcomes: []string{"ok", "bad"}, Normally: []float64{0.97, 0.03}}
		for _, c := range rng.Perm(n)[:rows] {
			p := rng.Float64()
			o.Rows = append(o.Rows, kb.ModelRow{Cause: c, P: []float64{1 - p, p}})
		}
		m.Observables = append(m.Observables, o)
	}
	return m
}

var bigSizes = []struct{ causes, rows int }{{10000, 12}, {10000, 25}, {10000, 50}}

// BenchmarkRates is one ranking: the bits, minutes and rate of every check and
// their order, without allocation. Time should grow with causes x rows. The
// promise is 5 ms at 10,000 x 50 on one core; the metric ns/row makes the
// growth visible, and BenchmarkStream beside it only reads the same bytes.
func BenchmarkRates(b *testing.B) {
	for _, size := range bigSizes {
		b.Run(fmt.Sprintf("causes=%d/rows=%d", size.causes, size.rows), func(b *testing.B) {
			e := New(bigModel(size.causes, size.rows))
			belief, err := e.Believe(nil)
			if err != nil {
				b.Fatal(err)
			}
			s := newScratch(e)
			s.load(belief)
			done := belief.done()
			b.ReportAllocs()
			for b.Loop() {
				s.rate(belief, done)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(size.causes*size.rows), "ns/row")
		})
	}
}

var sink float64

// BenchmarkStream adds up the bytes that BenchmarkRates must read: the memory
// limit that its time is to be held against.
func BenchmarkStream(b *testing.B) {
	for _, size := range bigSizes {
		b.Run(fmt.Sprintf("causes=%d/rows=%d", size.causes, size.rows), func(b *testing.B) {
			e := New(bigModel(size.causes, size.rows))
			b.SetBytes(int64(e.tableBytes()))
			for b.Loop() {
				for t := range e.tables {
					tab := &e.tables[t]
					sink += stream(tab.h)
					for j := 1; j < tab.k; j++ {
						sink += stream(tab.p[j])
					}
					for _, g := range tab.rowGroups {
						sinkGroup += g
					}
				}
			}
		})
	}
}

var sinkGroup int32

// stream adds up in four chains, so that memory and not the adder is the limit.
func stream(v []float64) float64 {
	var a, b, c, d float64
	for ; len(v) >= 4; v = v[4:] {
		a += v[0]
		b += v[1]
		c += v[2]
		d += v[3]
	}
	for _, x := range v {
		a += x
	}
	return a + b + c + d
}

// tableBytes is what a ranking reads of the tables.
func (e *Engine) tableBytes() (n int) {
	for t := range e.tables {
		tab := &e.tables[t]
		n += 8*tab.k*len(tab.h) + 4*len(tab.rowGroups) // entropies and all outcomes but the first
	}
	return n
}

// BenchmarkAdvice10000 is a ranking with advice and the minutes saved of the
// first ten checks.
func BenchmarkAdvice10000(b *testing.B) {
	e := New(bigModel(10000, 50))
	belief, err := e.Believe(nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		belief.Rank(Options{Detail: 10})
	}
}

// shippedModel reads the shipped base; the test tree may do what the package
// itself may not.
func shippedModel(tb testing.TB, family string) *kb.Model {
	tb.Helper()
	base, problems := kb.Load(os.DirFS("../data/base"))
	if errs := problems.Errors(); len(errs) > 0 {
		tb.Fatal(errs)
	}
	m, err := kb.NewModel(base, family)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

// BenchmarkRankShipped ranks all checks of the shipped base with pairs: bits,
// minutes and rate of each, their order, and the advice. The promise is 2 ms.
// With detail=8 minutes saved and outcomes of what a screen shows are worked out
// too, with detail=all those of every check, as --json does.
func BenchmarkRankShipped(b *testing.B) {
	for _, run := range []struct {
		family string
		detail int
	}{{"oil-furnace", 1}, {"used-oil-heater", 1}, {"oil-furnace", 8}, {"used-oil-heater", 8}, {"oil-furnace", 0}, {"used-oil-heater", 0}} {
		name := fmt.Sprintf("%s/detail=%d", run.family, run.detail)
		if run.detail == 0 {
			name = run.family + "/detail=all"
		}
		b.Run(name, func(b *testing.B) {
			e := New(shippedModel(b, run.family))
			belief, err := e.Believe([]kb.Act{{Finding: &kb.Finding{Kind: kb.KindSymptom, ID: "starts-then-locks-out", Outcome: kb.Yes}}})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				belief.Rank(Options{Detail: run.detail})
			}
		})
	}
}

// BenchmarkCompileShipped is the work between a loaded model and the first
// ranking.
func BenchmarkCompileShipped(b *testing.B) {
	m := shippedModel(b, "oil-furnace")
	for b.Loop() {
		New(m)
	}
}
