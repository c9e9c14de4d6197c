package cli

import (
	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newJobShow(a *app) *cobra.Command {
	cmd := a.jobCommand("show [JOB]", "Everything recorded on a job", false, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error {
			again, err := s.Reopenings(j.ID)
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(shownJob{Job: j, Reopened: again})
			}
			showJob(a.printer(), s.Base(), &j, again)
			return nil
		})
	cmd.Example = "  sootsayer job show 17"
	cmd.ValidArgsFunction = a.completingJob(nil)
	return cmd
}

// shownJob is a job with when and why it was opened again.
type shownJob struct {
	kb.Job
	Reopened []shop.Reopening `json:"reopened,omitempty"`
}

const dayAndTime = "2006-01-02 15:04"

// showJob writes a job; again are its reopenings, one for each past closing.
func showJob(p *printer, b *kb.Base, j *kb.Job, again []shop.Reopening) {
	family := j.Family
	if f, ok := b.Family(j.Family); ok {
		family = f.Name
	}
	p.heading("Job " + j.ID + " - " + family)
	field := func(name, value string) {
		if value != "" {
			p.para("  "+pad(name, 12), value)
		}
	}
	field("complaint", j.Complaint)
	field("appliance", j.Appliance)
	field("model", j.Model)
	field("callback of", j.CallbackOf)
	field("opened", j.Opened.Local().Format(dayAndTime)+by(j.By))
	past := 0
	for i := range j.Acts {
		a := &j.Acts[i]
		for past < len(again) && past < len(j.Past) && again[past].At.Before(a.At) {
			showPast(p, b, &j.Past[past], &again[past])
			past++
		}
		p.para("  "+a.At.Local().Format(dayAndTime)+"  ", actWords(b, a)+actTook(a)+by(a.By))
	}
	for ; past < len(j.Past); past++ {
		var when *shop.Reopening
		if past < len(again) {
			when = &again[past]
		}
		showPast(p, b, &j.Past[past], when)
	}
	if j.Closed() {
		showClosing(p, b, j.Closing, "closed")
	}
}

// showPast writes a closing that did not last, and what came back.
func showPast(p *printer, b *kb.Base, c *kb.Closing, again *shop.Reopening) {
	showClosing(p, b, c, "was closed")
	if again == nil {
		return
	}
	text := "opened again"
	if again.Reason != "" {
		text += ": " + again.Reason
	}
	p.para("  "+again.At.Local().Format(dayAndTime)+"  ", text+by(again.By))
}

func by(who string) string {
	if who == "" {
		return ""
	}
	return " (" + who + ")"
}

// actTook says how long something took, where that was stated.
func actTook(a *kb.Act) string {
	took := a.Minutes
	if a.Finding != nil {
		took = a.Finding.Minutes
	}
	if took > 0 {
		return ", " + minutes(took)
	}
	return ""
}

func showClosing(p *printer, b *kb.Base, c *kb.Closing, word string) {
	p.para("  "+c.At.Local().Format(dayAndTime)+"  ", word+": "+closingWords(b, c)+by(c.By))
	for _, used := range usedWords(b, c) {
		p.para("                    used ", used)
	}
	if c.From != "" {
		p.para("                    from ", c.From)
	}
}
