package learn

import (
	"encoding/json"
	"fmt"
	"testing"

	"sootsayer/kb"
)

// benchBase is an invented base of 80 causes and 120 checks of 3 outcomes, each
// with 8 rows: larger than the shipped one.
func benchBase() (*kb.Base, []*kb.Job) {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: kiln}}}
	for i := range 80 {
		c := kb.Cause{ID: fmt.Sprintf("cause-%d", i), Share: map[string]float64{kiln: float64(i%7 + 1)}, Fix: fmt.Sprintf("fix-%d", i/2)}
		if i%4 == 0 {
			c.LeadsTo = map[string]float64{fmt.Sprintf("cause-%d", i+1): 0.2}
		}
		b.Causes = append(b.Causes, c)
	}
	for i := range 40 {
		part := fmt.Sprintf("part-%d", i)
		b.Parts = append(b.Parts, kb.Part{ID: part})
		b.Fixes = append(b.Fixes, kb.Fix{ID: fmt.Sprintf("fix-%d", i), Minutes: 10, Cures: 0.9, Parts: []kb.PartUse{{Part: part, Qty: 1, Chance: 0.8}}})
	}
	for i := range 120 {
		c := kb.Check{ID: fmt.Sprintf("check-%d", i), Families: []string{kiln}, Minutes: 1, Outcomes: []kb.Outcome{{ID: "ok"}, {ID: "low"}, {ID: "none"}},
			Normally: kb.Table{{Outcome: "ok", P: 0.9}, {Outcome: "low", P: 0.07}, {Outcome: "none", P: 0.03}}}
		for r := range 8 {
			c.If = append(c.If, kb.Row{Cause: fmt.Sprintf("cause-%d", (i+10*r)%80), Table: kb.Table{{Outcome: "low", P: 0.6}}})
		}
		b.Checks = append(b.Checks, c)
	}
	b.Reindex()
	jobs := make([]*kb.Job, 1000)
	for i := range jobs {
		jobs[i] = job([]string{fmt.Sprintf("cause-%d", i%80)})
		for k := range 10 {
			jobs[i].Acts = append(jobs[i].Acts, saw(kb.KindCheck, fmt.Sprintf("check-%d", (7*i+11*k)%120), []string{"ok", "low", "none"}[(i+k)%3]))
		}
	}
	return b, jobs
}

// full fills in everything that a job can state: the model, minutes of checks
// and of the fix, pieces; and tries the wrong fix first in every fourth. It
// writes to the findings that it is given.
func full(jobs []*kb.Job) []*kb.Job {
	list := make([]*kb.Job, len(jobs))
	for i, j := range jobs {
		list[i] = job(j.Closing.Causes, lastedActs(float64(1+i%9), j.Acts...)...)
		list[i].Model = fmt.Sprintf("model-%d", i%3)
		list[i].Closing.FixMinutes = float64(5 + i%20)
		list[i].Closing.Used = map[string]float64{fmt.Sprintf("part-%d", i%40): float64(1 + i%2)}
		if i%4 == 0 {
			list[i].Acts = append(list[i].Acts, kb.Act{Tried: fmt.Sprintf("fix-%d", i%40), Minutes: 9})
		}
	}
	return list
}

// BenchmarkFold counts closed jobs of 10 findings, one an operation: those that
// state causes and findings only, and those that state everything.
// BenchmarkStream and BenchmarkDecode are to be read beside it.
func BenchmarkFold(b *testing.B) {
	base, plain := benchBase()
	_, more := benchBase()
	for name, jobs := range map[string][]*kb.Job{"findings": plain, "everything": full(more)} {
		b.Run(name, func(b *testing.B) {
			c := New(base)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				c.Add(jobs[i%len(jobs)])
			}
			perMillion(b)
		})
	}
}

// perMillion reports how many seconds a million jobs take.
func perMillion(b *testing.B) {
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)*1e6, "s/million")
}

// BenchmarkStream reads the bytes of the same jobs, as JSON with everything
// stated, and adds them up; one job an operation.
func BenchmarkStream(b *testing.B) {
	lines := written(b)
	sum := 0
	for i := 0; b.Loop(); i++ {
		for _, c := range lines[i%len(lines)] {
			sum += int(c)
		}
	}
	if sum == 0 {
		b.Fatal("nothing read")
	}
	perMillion(b)
}

// BenchmarkDecode makes jobs of the same bytes.
func BenchmarkDecode(b *testing.B) {
	lines := written(b)
	for i := 0; b.Loop(); i++ {
		var j kb.Job
		if err := json.Unmarshal(lines[i%len(lines)], &j); err != nil {
			b.Fatal(err)
		}
	}
	perMillion(b)
}

// written are the jobs as JSON.
func written(b *testing.B) [][]byte {
	_, jobs := benchBase()
	var lines [][]byte
	for _, j := range full(jobs) {
		line, err := json.Marshal(j)
		if err != nil {
			b.Fatal(err)
		}
		lines = append(lines, line)
	}
	b.SetBytes(int64(len(lines[0])))
	return lines
}

// BenchmarkModel80Causes120Checks makes a family's model from the counts of
// 1000 jobs.
func BenchmarkModel80Causes120Checks(b *testing.B) {
	base, jobs := benchBase()
	c := count(base, full(jobs))
	for b.Loop() {
		if _, err := c.Model(base, kiln, "", now); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNewModel80Causes120Checks is the authored part of the above.
func BenchmarkNewModel80Causes120Checks(b *testing.B) {
	base, _ := benchBase()
	for b.Loop() {
		if _, err := kb.NewModel(base, kiln); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkRead1000Jobs reads the cached counts of 1000 jobs.
func BenchmarkRead1000Jobs(b *testing.B) {
	base, jobs := benchBase()
	data, err := json.Marshal(count(base, full(jobs)))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(data)), "bytes")
	for b.Loop() {
		if _, err := Read(base, data); err != nil {
			b.Fatal(err)
		}
	}
}
