package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"sootsayer/ranker/score"
)

// fewJobs is how many jobs are too few for their figures to be more than luck.
const fewJobs = 30

// scoreMinutes writes minutes spent against those foreseen.
func (p *printer) scoreMinutes(r *score.Report) {
	m := &r.Minutes
	if m.Jobs == 0 {
		return
	}
	p.line("")
	p.heading("Minutes")
	p.para("  ", fmt.Sprintf("%s how long they took: %.0f min on average, where the advice at the complaint foresaw %.0f; %.0f in all against %.0f. Half of them took less than %.2f of what was foreseen. The advice looks one check ahead, so at a complaint it foresees too much rather than too little.",
		countedAs(m.Jobs, "job states", "jobs state"), m.MeanSpent, m.MeanForeseen, m.Spent, m.Foreseen, m.MedianRatio))
}

// scoreLimits writes what the score cannot show.
func (p *printer) scoreLimits(r *score.Report) {
	p.line("")
	p.heading("What this cannot show")
	j := &r.Jobs
	if j.Scored < fewJobs {
		p.para("  - ", fmt.Sprintf("With %s most of this is luck; look again when there are %d.", counted(j.Scored, "job"), fewJobs))
	}
	p.notScored(j)
	if j.Unsure > 0 {
		p.para("  - ", fmt.Sprintf("%s closed without certainty (%s). There a guess may agree with a guess.", countedAs(j.Unsure, "job was", "jobs were"), percent(float64(j.Unsure)/float64(j.Scored))))
	}
	p.para("  - ", "The truth is what somebody closed the job with. Who followed the advice and was wrong with it agrees with it, unless the job came back.")
	if n := leftOut(r.LeftOut); n != "" {
		p.para("  - ", "Findings that the base no longer has were left out: "+n+".")
	}
}

// notScored writes which jobs were not scored, and why.
func (p *printer) notScored(j *score.Jobs) {
	for _, x := range []struct {
		n    int
		says string
	}{
		{j.CameBack, "that came back within the callback window: the cause was wrong, or the fix did not hold"},
		{j.OneOf, "closed as one of several causes, so that the true one is not known"},
		{j.UnknownCause, "closed with a cause that the base does not have, or with none"},
		{j.Impossible, "with findings that the base holds impossible together; a floor above 0 in the settings lets them be scored"},
	} {
		if x.n > 0 {
			p.para("  - ", fmt.Sprintf("Not scored: %s %s.", counted(x.n, "job"), x.says))
		}
	}
}

// leftOut lists findings by how often they were left out.
func leftOut(what map[string]int) string {
	var words []string
	for _, id := range slices.Sorted(maps.Keys(what)) {
		words = append(words, fmt.Sprintf("%s (%d)", id, what[id]))
	}
	return strings.Join(words, ", ")
}
