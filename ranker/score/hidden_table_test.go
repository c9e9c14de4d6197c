package score

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"sootsayer/ranker"
)

// outcome is what a shop reached after so many closed jobs.
type outcome struct {
	jobs              int
	exam              *exam
	learned, authored [2]mark
	// Minutes a job by what was learned, by the base as authored and by who knows
	// the truth, over the same fresh jobs.
	minutes, asAuthored, byTruth float64
	overTruth, underAuthored     Gain // minutes more than by the truth, and less than by the base
}

// course is a shop watched from its first job on.
type course struct {
	*shop
	outcomes []outcome
	knows    [2][]float64 // minutes of fresh jobs by who knows the truth, by era
	plain    [2][]float64 // and by the base as authored
}

// watch works the shop's jobs and examines it at every stage.
func watch(s *shop) *course {
	c := &course{shop: s}
	for _, g := range s.plan.stages {
		for len(s.cases) < g.jobs {
			s.next()
		}
		c.examine(g)
	}
	return c
}

// now is when the last job was closed.
func (s *shop) now() time.Time { return s.cases[len(s.cases)-1].Job.Closing.At }

// examine compares what was learned by now with the base and with the truth.
func (c *course) examine(g stage) {
	era, engines := c.truth.era(c.now()), c.learnedBy(c.now())
	authored, truths := slices.Clone(engines), slices.Clone(engines)
	for i := range engines {
		authored[i], truths[i] = c.engines.authored, c.truth.worlds[era][i].knows
	}
	n := c.plan.timed
	if c.knows[era] == nil {
		c.knows[era], c.plain[era] = c.newExam(era, n, truths).minutes(n), c.newExam(era, n, authored).minutes(n)
	}
	x := c.newExam(era, max(n, g.fresh), engines)
	mine, truth, base := x.minutes(n), c.knows[era], c.plain[era]
	c.outcomes = append(c.outcomes, outcome{jobs: g.jobs, exam: x, learned: x.marks(engines), authored: x.marks(authored),
		minutes: mean(mine), asAuthored: mean(base), byTruth: mean(truth), overTruth: more(mine, truth), underAuthored: more(base, mine)})
}

func (c *course) last() *outcome { return &c.outcomes[len(c.outcomes)-1] }

// String is the table that DEVELOPERS.md shows.
func (c *course) String() string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s, seed %d", c.plan.family, c.plan.seed)
	line("       bits at the complaint      bits at the first fix      calibr.    minutes")
	line(" jobs truth base learned  over  truth base learned  over compl  fix learn base truth")
	for i := range c.outcomes {
		o := &c.outcomes[i]
		row := fmt.Sprintf("%5d", o.jobs)
		for m := range o.learned {
			l := &o.learned[m]
			row += fmt.Sprintf(" %5.2f %5.2f %5.2f %6.1f%% ", l.truth, o.authored[m].bits, l.bits, 100*l.over())
		}
		line("%s %.3f %.3f %5.1f %5.1f %5.1f", row, o.learned[0].bins.CalibrationError(), o.learned[1].bins.CalibrationError(), o.minutes, o.asAuthored, o.byTruth)
	}
	o := c.last()
	line("after %d jobs a job takes %.1f minutes (%.1f to %.1f) more than by the truth, and %.1f (%.1f to %.1f) less than by the base",
		o.jobs, o.overTruth.Bits, o.overTruth.Low, o.overTruth.High, o.underAuthored.Bits, o.underAuthored.Low, o.underAuthored.High)
	return b.String()
}

// costs tells what the last stage's log loss above the truth's own, and its
// calibration error, would be were something else: by the same jobs, for the
// same findings.
func (c *course) costs() string {
	x, now := c.last().exam, c.now()
	engines, right := c.learnedBy(now), c.otherwise(now, true, false)
	var b strings.Builder
	fmt.Fprintln(&b, "                              over: compl.    fix   calibration")
	for _, row := range []struct {
		name    string
		engines []*ranker.Engine
	}{
		{"as it is", engines},
		{"every closing right", right},
		{"no job fading", c.otherwise(now, false, true)},
		{"both", c.otherwise(now, true, true)},
		{"shares known", x.given(engines, true, false)},
		{"tables known", x.given(engines, false, true)},
		{"closings right, shares known", x.given(right, true, false)},
	} {
		m := x.marks(row.engines)
		fmt.Fprintf(&b, "%-34s %5.1f%% %5.1f%%   %.3f %.3f\n", row.name, 100*m[0].over(), 100*m[1].over(), m[0].bins.CalibrationError(), m[1].bins.CalibrationError())
	}
	return b.String()
}
