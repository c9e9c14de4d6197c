package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// How much of what is gone people are shown; --json has more.
const (
	mostGoneShown = 40
	mostGoneJobs  = 12
)

func newBaseChanged(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "changed",
		Short: "What recorded jobs name and the base no longer has",
		Long: `What recorded jobs name and the base no longer has: because it was renamed in
the base, or taken out. Nothing of it is lost: the jobs keep it as it was
recorded, but nothing can be counted from it.

What was renamed counts again once its entry says what it was called, in a line
such as

    was: [nozzle-plugged]

What was taken out on purpose can stay as it is.`,
		Example: `  sootsayer base changed
  sootsayer base changed --base ./our-base --json`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runBaseChanged(cmd.Context(), a, s) })
		},
	}
}

func runBaseChanged(ctx context.Context, a *app, s *shop.Shop) error {
	say, wipe := a.progress()
	c, err := s.Changed(ctx, func(jobs int) {
		if jobs%1000 == 0 {
			say(fmt.Sprintf("comparing jobs: %d", jobs))
		}
	})
	wipe()
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(c)
	}
	a.printer().changed(&c, s)
	return nil
}

// changed writes what is gone and what to do about it.
func (p *printer) changed(c *shop.Changed, s *shop.Shop) {
	switch {
	case c.Compared == 0 && len(c.Gone) == 0:
		p.para("", fmt.Sprintf("No job is recorded in %s: there is nothing to compare.", s.Dir()))
		return
	case len(c.Gone) == 0:
		p.para("", fmt.Sprintf("The base has everything that is named in %s.", counted(c.Compared, "job")))
		return
	}
	p.para("", fmt.Sprintf("%d of %s name things that the base no longer has:", c.Jobs, counted(c.Compared, "job")))
	for i := range c.Gone {
		if i == mostGoneShown {
			p.line("\n%d more are listed by: sootsayer base changed --json", len(c.Gone)-i)
			break
		}
		p.line("")
		p.gone(&c.Gone[i])
	}
	p.line("")
	p.para("", "What was renamed counts again once that line is written. What was taken out is kept as it was recorded, and not counted.")
	p.someJobs("closed job counts nothing", "closed jobs count nothing", &c.Uncounted)
	p.someJobs("closed job counts in part", "closed jobs count in part", &c.InPart)
	if c.Open > 0 {
		p.line("%s ranked without it.", countedAs(c.Open, "open job is", "open jobs are"))
	}
}

// gone writes one thing that is gone.
func (p *printer) gone(g *shop.Gone) {
	var where []string
	if g.Jobs > 0 {
		where = append(where, counted(g.Jobs, "job"))
	}
	if g.Others > 0 {
		where = append(where, countedAs(g.Others, "other record", "other records"))
	}
	text := strings.Join(where, ", ")
	if !g.Last.IsZero() {
		text += ", last on " + g.Last.Local().Format("2006-01-02")
	}
	p.para(shop.GoneName(g.Missing)+": ", text)
	switch {
	case g.Family != "":
		p.para("    ", elsewhere(g))
	case g.Line == "":
		p.para("    ", "Kept, not counted.")
	case g.Nearest != "":
		p.para("    ", fmt.Sprintf("If it is %s now, write in its entry:", shop.GoneName(kb.Missing{Kind: g.Kind, ID: g.Nearest, Of: g.Of})))
		p.line("        %s", g.Line)
	default:
		p.para("    ", fmt.Sprintf("If it has another id now, write in the entry of that %s:", g.Kind))
		p.line("        %s", g.Line)
	}
}

// elsewhere says how what the base has for other families comes to a family.
func elsewhere(g *shop.Gone) string {
	text := fmt.Sprintf("The base has it, but not for family %s. If it belongs there: ", g.Family)
	switch g.Kind {
	case kb.KindCause:
		return text + fmt.Sprintf("give it a share in %s.", g.Family)
	case kb.KindFix:
		return text + fmt.Sprintf("give a cause that it cures a share in %s.", g.Family)
	}
	return text + fmt.Sprintf("add %s to its families.", g.Family)
}

// someJobs names a number of jobs, the newest of them one by one.
func (p *printer) someJobs(one, many string, jobs *shop.SomeJobs) {
	if jobs.Jobs == 0 {
		return
	}
	names := slices.Clone(jobs.Newest[:min(len(jobs.Newest), mostGoneJobs)])
	if n := jobs.Jobs - len(names); n > 0 {
		names = append(names, fmt.Sprintf("and %d before", n))
	}
	p.para("", fmt.Sprintf("%s because of it: %s.", countedAs(jobs.Jobs, one, many), strings.Join(names, ", ")))
}
