package learn

import (
	"fmt"
	"time"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

const (
	kiln = "kiln"
	oven = "oven"
)

// now is later than every closing that the tests draw.
var now = time.Date(2026, time.November, 25, 9, 0, 0, 0, time.UTC)

// drawBase draws a small invented base of two families that share causes,
// symptoms and checks.
func drawBase(t *rapid.T) *kb.Base {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: kiln, Name: "Kiln"}, {ID: oven, Name: "Oven"}}}
	b.Settings.Strength = rapid.SampledFrom([]float64{0, 0.5, 30}).Draw(t, "strength")
	b.Settings.TableStrength = rapid.SampledFrom([]float64{0, 8}).Draw(t, "table strength")
	b.Settings.Unlisted = rapid.SampledFrom([]float64{0, 0.04, 1}).Draw(t, "unlisted")
	b.Settings.SecondFault = rapid.SampledFrom([]float64{0, 0.05}).Draw(t, "second")
	b.Settings.HalfLifeYears = rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "half-life")
	causes := rapid.IntRange(1, 6).Draw(t, "causes")
	for i := range causes {
		b.Causes = append(b.Causes, drawCause(t, i, causes))
	}
	b.Causes[0].Share = map[string]float64{kiln: 1, oven: 2} // every family has a cause
	b.Settings.MinutesStrength = rapid.SampledFrom([]float64{0, 5}).Draw(t, "minutes strength")
	for i := range 3 {
		b.Parts = append(b.Parts, kb.Part{ID: fmt.Sprintf("p%d", i)})
	}
	for i := range 3 {
		b.Fixes = append(b.Fixes, drawFix(t, i))
	}
	for i := range 2 {
		s := kb.Symptom{ID: fmt.Sprintf("s%d", i), Families: drawFamilies(t), Minutes: 0.5}
		outcomes := []string{kb.No, kb.Yes}
		s.Normally = drawTable(t, outcomes)
		s.If = drawRows(t, b, s.Families, outcomes)
		b.Symptoms = append(b.Symptoms, s)
	}
	for i := range 3 {
		b.Checks = append(b.Checks, drawCheck(t, b, i))
	}
	b.Reindex()
	return b
}

func drawCause(t *rapid.T, i, causes int) kb.Cause {
	c := kb.Cause{ID: fmt.Sprintf("x%d", i), Share: map[string]float64{}, Fix: fmt.Sprintf("f%d", rapid.IntRange(0, 2).Draw(t, "fix"))}
	for _, f := range []string{kiln, oven} {
		if rapid.IntRange(0, 3).Draw(t, "in "+f) > 0 {
			c.Share[f] = rapid.SampledFrom([]float64{0, 1, 9}).Draw(t, "share")
		}
	}
	for j := i + 1; j < causes; j++ {
		if p := rapid.SampledFrom([]float64{0, 0, 0.2, 1}).Draw(t, "leads"); p > 0 {
			if c.LeadsTo == nil {
				c.LeadsTo = map[string]float64{}
			}
			c.LeadsTo[fmt.Sprintf("x%d", j)] = p
		}
	}
	return c
}

func drawFix(t *rapid.T, i int) kb.Fix {
	f := kb.Fix{ID: fmt.Sprintf("f%d", i), Minutes: 5, Cures: rapid.SampledFrom([]float64{0, 0.5, 0.9, 1}).Draw(t, "cures"),
		Proof: rapid.SampledFrom([]string{"", "c0", "c1"}).Draw(t, "proof")}
	for k := range 3 {
		if rapid.Bool().Draw(t, "takes") {
			f.Parts = append(f.Parts, kb.PartUse{Part: fmt.Sprintf("p%d", k), Qty: rapid.SampledFrom([]float64{1, 2}).Draw(t, "qty"),
				Chance: rapid.SampledFrom([]float64{0, 0.3, 1}).Draw(t, "chance"), Families: rapid.SampledFrom([][]string{nil, {kiln}}).Draw(t, "for")})
		}
	}
	return f
}

func drawFamilies(t *rapid.T) []string {
	return rapid.SampledFrom([][]string{{kiln}, {oven}, {kiln, oven}}).Draw(t, "families")
}

func drawCheck(t *rapid.T, b *kb.Base, i int) kb.Check {
	c := kb.Check{ID: fmt.Sprintf("c%d", i), Families: drawFamilies(t), Minutes: 2}
	var outcomes []string
	for j := range rapid.IntRange(2, 4).Draw(t, "outcomes") {
		outcomes = append(outcomes, fmt.Sprintf("o%d", j))
		c.Outcomes = append(c.Outcomes, kb.Outcome{ID: outcomes[j]})
	}
	if rapid.Bool().Draw(t, "has reading") {
		c.Reading = &kb.Reading{Unit: "ohm", Tolerance: kb.Tolerance{Value: 5}}
		for j := range outcomes {
			lo, hi := float64(10*j), float64(10*j+10)
			if j > 0 {
				c.Outcomes[j].From = &lo
			}
			if j < len(outcomes)-1 {
				c.Outcomes[j].To = &hi
			}
		}
	}
	c.Normally = drawTable(t, outcomes)
	c.If = drawRows(t, b, c.Families, outcomes)
	return c
}

func drawTable(t *rapid.T, outcomes []string) kb.Table {
	var table kb.Table
	sum := 0.0
	for j, o := range outcomes {
		p := rapid.SampledFrom([]float64{0, 0.01, 0.3, 1}).Draw(t, "p")
		if j == len(outcomes)-1 && sum == 0 {
			p = 1
		}
		table = append(table, kb.Prob{Outcome: o, P: p})
		sum += p
	}
	for j := range table {
		table[j].P /= sum
	}
	return table
}

func drawRows(t *rapid.T, b *kb.Base, families, outcomes []string) kb.Rows {
	var rows kb.Rows
	for i := range b.Causes {
		c := &b.Causes[i]
		for _, f := range families {
			if _, in := c.Share[f]; in && rapid.Bool().Draw(t, "row") {
				rows = append(rows, kb.Row{Cause: c.ID, Table: drawTable(t, outcomes)})
				break
			}
		}
	}
	return rows
}

// drawJobs draws jobs of all kinds: open and closed, certain and doubtful, with
// one cause or several, with causes, checks and outcomes nobody knows.
func drawJobs(t *rapid.T, b *kb.Base, most int) []*kb.Job {
	jobs := make([]*kb.Job, rapid.IntRange(0, most).Draw(t, "jobs"))
	for i := range jobs {
		jobs[i] = drawJob(t, b)
	}
	return jobs
}

func drawJob(t *rapid.T, b *kb.Base) *kb.Job {
	opened := now.Add(-time.Duration(rapid.IntRange(0, 12*365*24).Draw(t, "age")) * time.Hour)
	j := &kb.Job{ID: "j", Family: rapid.SampledFrom([]string{kiln, kiln, kiln, oven, "shed"}).Draw(t, "family"), Opened: opened,
		Model: rapid.SampledFrom([]string{"", "m1", "m2"}).Draw(t, "model")}
	for i := range rapid.IntRange(0, 6).Draw(t, "acts") {
		a := kb.Act{At: opened.Add(time.Duration(i) * time.Minute)}
		if rapid.IntRange(0, 5).Draw(t, "what") == 0 {
			a.Tried = rapid.SampledFrom([]string{"f0", "f1", "f2", "f-gone"}).Draw(t, "tried")
			a.Minutes = drawMinutes(t)
		} else {
			a.Finding = drawFinding(t, b)
		}
		j.Acts = append(j.Acts, a)
	}
	if rapid.IntRange(0, 5).Draw(t, "reopened") == 0 {
		j.Past = []kb.Closing{*drawClosing(t, b, opened.Add(150*time.Second))}
	}
	if rapid.IntRange(0, 9).Draw(t, "open") > 0 {
		j.Closing = drawClosing(t, b, opened)
	}
	return j
}

func drawClosing(t *rapid.T, b *kb.Base, at time.Time) *kb.Closing {
	ids := append(b.IDs("causes"), b.IDs("causes")...)
	ids = append(ids, kb.Unlisted, "x-gone")
	c := &kb.Closing{At: at, Confidence: rapid.SampledFrom([]float64{0.3, 0.8, 1}).Draw(t, "confidence"),
		Causes:     rapid.SliceOfN(rapid.SampledFrom(ids), 0, 3).Draw(t, "confirmed"),
		OneOf:      rapid.IntRange(0, 3).Draw(t, "one of") == 0,
		Fixes:      rapid.SliceOfN(rapid.SampledFrom([]string{"f0", "f1", "f2", "f-gone"}), 0, 2).Draw(t, "done"),
		FixMinutes: drawMinutes(t)}
	if rapid.Bool().Draw(t, "parts stated") {
		c.Used = map[string]float64{}
		for _, part := range rapid.SliceOfN(rapid.SampledFrom([]string{"p0", "p1", "p2", "p-gone"}), 0, 2).Draw(t, "used") {
			c.Used[part] = rapid.SampledFrom([]float64{0, 1, 2, 3.5}).Draw(t, "pieces")
		}
	}
	return c
}

// drawMinutes draws minutes, mostly not stated.
func drawMinutes(t *rapid.T) float64 {
	return rapid.SampledFrom([]float64{0, 0, 0, 0.5, 7, 90}).Draw(t, "minutes")
}

func drawFinding(t *rapid.T, b *kb.Base) *kb.Finding {
	if rapid.Bool().Draw(t, "symptom") {
		return &kb.Finding{Kind: kb.KindSymptom, ID: rapid.SampledFrom([]string{"s0", "s1", "s-gone"}).Draw(t, "id"), Minutes: drawMinutes(t),
			Outcome: rapid.SampledFrom([]string{kb.No, kb.Yes}).Draw(t, "outcome")}
	}
	c := rapid.SampledFrom(b.Checks).Draw(t, "check")
	f := &kb.Finding{Kind: kb.KindCheck, ID: c.ID, Minutes: drawMinutes(t)}
	switch how := rapid.IntRange(0, 3).Draw(t, "how"); {
	case how == 0 && c.Reading != nil:
		r := rapid.Float64Range(0, 40).Draw(t, "reading")
		f.Reading = &r
	case how == 1:
		f.Weights = map[string]float64{c.Outcomes[0].ID: 0.7, c.Outcomes[1].ID: 0.3}
	case how == 2:
		f.Outcome = "o3" // unknown to some checks
	default:
		f.Outcome = rapid.SampledFrom(c.Outcomes).Draw(t, "outcome").ID
	}
	return f
}

// count returns the counts of some jobs.
func count(b *kb.Base, jobs []*kb.Job) *Counts {
	c := New(b)
	for _, j := range jobs {
		c.Add(j)
	}
	return c
}

// visit is a job as it counts: one that stands, or one that came back.
type visit struct {
	job, back *kb.Job
	cameBack  bool
}

func (v visit) add(c *Counts) {
	if v.cameBack {
		c.AddCameBack(v.job, v.back)
	} else {
		c.Add(v.job)
	}
}

func (v visit) remove(c *Counts) {
	if v.cameBack {
		c.RemoveCameBack(v.job, v.back)
	} else {
		c.Remove(v.job)
	}
}

// drawVisits draws jobs, some of which came back.
func drawVisits(t *rapid.T, b *kb.Base, most int) []visit {
	visits := make([]visit, rapid.IntRange(0, most).Draw(t, "jobs"))
	for i := range visits {
		v := &visits[i]
		v.job = drawJob(t, b)
		if v.cameBack = rapid.IntRange(0, 4).Draw(t, "came back") == 0; v.cameBack && rapid.IntRange(0, 4).Draw(t, "known") > 0 {
			v.back = drawJob(t, b)
			v.back.Family = v.job.Family
		}
	}
	return visits
}

// countVisits returns the counts of some visits.
func countVisits(b *kb.Base, visits []visit) *Counts {
	c := New(b)
	for _, v := range visits {
		v.add(c)
	}
	return c
}
