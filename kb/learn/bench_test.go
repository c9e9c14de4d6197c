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
		b.Fixes = append(b.Fixes, kb.Fix{ID: fmt.Sprintf("fix-%d", i), Minutes: 10, Cures: 0.9})
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

// BenchmarkAdd1JobOf10Findings counts one job.
func BenchmarkAdd1JobOf10Findings(b *testing.B) {
	base, jobs := benchBase()
	c := New(base)
	for i := 0; b.Loop(); i++ {
		c.Add(jobs[i%len(jobs)])
	}
}

// BenchmarkModel80Causes120Checks makes a family's model from the counts of
// 1000 jobs.
func BenchmarkModel80Causes120Checks(b *testing.B) {
	base, jobs := benchBase()
	c := count(base, jobs)
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
	data, err := json.Marshal(count(base, jobs))
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
