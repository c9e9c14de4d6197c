package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newJobList(a *app) *cobra.Command {
	var all bool
	cmd := &cobra.Command{
		Use:     "list",
		Short:   "List the open jobs, or all",
		Example: "  sootsayer job list\n  sootsayer job list --all",
		Args:    argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runJobList(a, s, all) })
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "closed jobs too")
	return cmd
}

func runJobList(a *app, s *shop.Shop, all bool) error {
	jobs := []kb.Job{}
	if s.Journal() != nil {
		for j, err := range s.Journal().Jobs() {
			if err != nil {
				return err
			}
			if all || !j.Closed() {
				jobs = append(jobs, j)
			}
		}
	}
	if a.json {
		return a.printJSON(jobs)
	}
	p := a.printer()
	if len(jobs) == 0 {
		p.line("No jobs. Open one with: sootsayer job open WORDS --family FAMILY")
		return nil
	}
	p.line("%s %s %s %s %s", pad("job", 8), pad("opened", 10), pad("family", 16), pad("cause", 20), "complaint")
	for i := range jobs {
		j := &jobs[i]
		cause := "open"
		if j.Closed() {
			cause = strings.Join(j.Closing.Causes, ", ")
		}
		p.line("%s", strings.TrimRight(strings.Join([]string{pad(j.ID, 8), j.Opened.Local().Format("2006-01-02"), pad(j.Family, 16), pad(cause, 20),
			cut(j.Complaint, p.width-58)}, " "), " "))
	}
	return nil
}

func newJobShow(a *app) *cobra.Command {
	cmd := a.jobCommand("show [JOB]", "Everything recorded on a job", false, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error {
			if a.json {
				return a.printJSON(j)
			}
			showJob(a.printer(), s.Base(), &j)
			return nil
		})
	cmd.Example = "  sootsayer job show 17"
	cmd.ValidArgsFunction = a.completingJob(nil)
	return cmd
}

const dayAndTime = "2006-01-02 15:04"

func showJob(p *printer, b *kb.Base, j *kb.Job) {
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
	for i := range j.Acts {
		a := &j.Acts[i]
		p.para("  "+a.At.Local().Format(dayAndTime)+"  ", actWords(b, a)+by(a.By))
	}
	for i := range j.Past {
		showClosing(p, b, &j.Past[i], "was closed")
	}
	if j.Closed() {
		showClosing(p, b, j.Closing, "closed")
	}
}

func by(who string) string {
	if who == "" {
		return ""
	}
	return " (" + who + ")"
}

func showClosing(p *printer, b *kb.Base, c *kb.Closing, word string) {
	var causes []string
	for _, id := range c.Causes {
		name := "not in the base"
		if x, ok := b.Cause(id); ok {
			name = x.Name
		}
		causes = append(causes, name)
	}
	text := word + ": " + strings.Join(causes, ", ")
	if c.Confidence < 1 {
		text += ", " + percent(c.Confidence) + " sure"
	}
	if c.Minutes > 0 {
		text += ", " + minutes(c.Minutes)
	}
	if c.Note != "" {
		text += " - " + c.Note
	}
	p.para("  "+c.At.Local().Format(dayAndTime)+"  ", text+by(c.By))
	for i := range b.Parts {
		if n := c.Used[b.Parts[i].ID]; n > 0 {
			p.para("                    used ", parts(n, &b.Parts[i]))
		}
	}
}
