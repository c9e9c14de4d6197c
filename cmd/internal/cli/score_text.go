package cli

import (
	"fmt"
	"strings"
	"time"

	"sootsayer/kb"
	"sootsayer/ranker/score"
)

// score writes a report for people.
func (p *printer) score(b *kb.Base, r *score.Report) {
	if r.Jobs.Scored == 0 {
		p.scoreNothing(r)
		return
	}
	p.heading(fmt.Sprintf("How well %s predicted", wereScored(r)))
	p.para("  ", scoredWhen(r)+" Each is predicted from the jobs closed before it was opened, never from later ones.")
	p.scoreWays(r)
	p.scoreSteps(r)
	p.scoreSplits(b, r)
	p.scoreCalibration(r)
	p.scoreMinutes(r)
	p.scoreLimits(r)
}

// scoreNothing says why there is no score.
func (p *printer) scoreNothing(r *score.Report) {
	switch j := &r.Jobs; {
	case j.Closed == 0:
		p.para("", "No closed job yet, so there is nothing to score. Close jobs with \"sootsayer job close\", or bring older ones in with \"sootsayer job import\".")
	case j.Earlier+j.Elsewhere == j.Closed:
		p.para("", fmt.Sprintf("None of the %s is of that family and from that day on, so there is nothing to score.", counted(j.Closed, "closed job")))
	default:
		p.para("", fmt.Sprintf("None of the %s can be scored.", counted(j.Closed, "closed job")))
		p.notScored(j)
	}
}

func wereScored(r *score.Report) string {
	if r.Jobs.Scored == 1 {
		return "1 past job was"
	}
	return fmt.Sprintf("%d past jobs were", r.Jobs.Scored)
}

// scoredWhen says which jobs these are.
func scoredWhen(r *score.Report) string {
	day := func(t *time.Time) string { return t.UTC().Format("2 Jan 2006") }
	text := fmt.Sprintf("Opened from %s to %s", day(r.Jobs.First), day(r.Jobs.Last))
	if r.Family != "" {
		text += ", only " + r.Family
	}
	return fmt.Sprintf("%s, of %s.", text, counted(r.Jobs.Closed, "closed job"))
}

// scoreWays writes the three ways to predict against each other.
func (p *printer) scoreWays(r *score.Report) {
	p.line("")
	p.line("%-20s%-28s%s", "", "  "+fromComplaint, "  "+withAll)
	p.line("%-20s%s", "", strings.Repeat("  first  top 3  top 5   bits", 2))
	for _, way := range []struct {
		name   string
		of     func(score.By[score.Scores]) score.Scores
		strong bool
	}{
		{wayLearned, func(s score.By[score.Scores]) score.Scores { return s.Learned }, true},
		{wayAuthored, func(s score.By[score.Scores]) score.Scores { return s.Authored }, false},
		{wayCommonest, func(s score.By[score.Scores]) score.Scores { return s.Commonest }, false},
	} {
		text := fmt.Sprintf("  %-18s", way.name)
		for _, m := range []*score.Moment{&r.Complaint, &r.End} {
			s := way.of(m.By)
			text += fmt.Sprintf("  %5s  %5s  %5s  %5.2f", percent(s.Top1), percent(s.Top3), percent(s.Top5), s.LogLoss)
		}
		if way.strong {
			text = p.paint(bold, text)
		}
		p.line("%s", text)
	}
	p.para("  ", "first, top 3, top 5: how often the true cause was named first, or was among the first three or five. bits: the surprise at the true cause (log loss); 0 is perfect, and one bit less is twice the chance for it. Good is more in the first line than in those below it, and fewer bits.")
	p.gain("From the complaint", r.Complaint.OverAuthored)
	p.gain("With all findings", r.End.OverAuthored)
	if r.Complaint.OverAuthored.High < 0 || r.End.OverAuthored.High < 0 {
		p.para("  ", "Where what was learned is worse, a greater strength or table_strength in the settings of the base keeps to the start for longer.")
	}
}

// gain says what learning was worth against the base as authored.
func (p *printer) gain(when string, g score.Gain) {
	says := fmt.Sprintf("these jobs show no difference between what was learned and the base as authored: %+.2f bits a job, with a chance of 90%% between %+.2f and %+.2f.", g.Bits, g.Low, g.High)
	switch {
	case g.Low > 0:
		says = fmt.Sprintf("learning saved %.2f bits a job against the base as authored, with a chance of 90%% between %.2f and %.2f.", g.Bits, g.Low, g.High)
	case g.High < 0:
		says = fmt.Sprintf("what was learned is worse than the base as authored: it cost %.2f bits a job, with a chance of 90%% between %.2f and %.2f.", -g.Bits, -g.High, -g.Low)
	}
	p.para("  ", when+", "+says)
}

// stepRows are the numbers of findings that have a row.
var stepRows = []int{0, 1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 30}

// scoreSteps writes how the list gets better with each finding.
func (p *printer) scoreSteps(r *score.Report) {
	p.line("")
	p.heading("After each finding")
	p.line("  findings     jobs   first  top 3  place   bits  authored")
	for _, n := range stepRows {
		if n >= len(r.Steps)-1 && n > 0 {
			break
		}
		name := fmt.Sprint(n)
		if n == 0 {
			name = "complaint"
		}
		p.step(name, r.Steps[n].Reached, &r.Steps[n].Moment)
	}
	p.step("all", r.Jobs.Scored, &r.End)
	p.para("  ", "jobs: how many had so many findings; the others count with those they have. place: where the true cause stood in the list, on average. authored: the bits of the base as authored.")
}

func (p *printer) step(name string, reached int, m *score.Moment) {
	s := m.Learned
	p.line("  %-9s  %6d   %5s  %5s  %5.1f  %5.2f     %5.2f", name, reached, percent(s.Top1), percent(s.Top3), s.Place, s.LogLoss, m.Authored.LogLoss)
}

// scoreSplits writes the scores by family and by year.
func (p *printer) scoreSplits(b *kb.Base, r *score.Report) {
	p.line("")
	p.heading("By family and by year")
	p.line("%-34s%-23s%s", "", fromComplaint, withAll)
	p.line("  %-22s %6s%s", "", "jobs", strings.Repeat("   first   bits authored", 2))
	for _, s := range append(append([]score.Split{}, r.Families...), r.Years...) {
		name := s.Family
		if name == "" {
			name = fmt.Sprint(s.Year)
		}
		text := fmt.Sprintf("  %s %6d", pad(name, 22), s.Complaint.Jobs)
		for _, m := range []*score.Moment{&s.Complaint, &s.End} {
			text += fmt.Sprintf("   %5s  %5.2f    %5.2f", percent(m.Learned.Top1), m.Learned.LogLoss, m.Authored.LogLoss)
		}
		p.line("%s", text)
	}
}
