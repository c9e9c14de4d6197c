package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// priorsOptions are what `priors` is asked.
type priorsOptions struct {
	family string
	tables bool
	all    bool
}

// mostPriors is how many causes are listed whether or not a job stands behind
// them, and how many changes of tables.
const mostPriors = 15

func newPriors(a *app) *cobra.Command {
	o := &priorsOptions{}
	cmd := &cobra.Command{
		Use:   "priors [--family FAMILY] [--tables] [--all]",
		Short: "How often each cause is the root cause, at the start and by now",
		Long: `How often each cause is the root cause: as the base starts with it, and as the
closed jobs of this shop have moved it. "90% between" says how sure that is:
with the jobs so far, the true share lies in there with a chance of 90%. All
families are listed unless one is named.`,
		Example: `  sootsayer priors
  sootsayer priors --family oil-furnace --all
  sootsayer priors --tables`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runPriors(a, s, o) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.family, "family", "", "kind of equipment; all of them when left out")
	f.BoolVar(&o.tables, "tables", false, "the chances of results that closed jobs moved, too")
	f.BoolVar(&o.all, "all", false, "list all causes, not only the likely ones and those with jobs")
	a.complete(cmd, map[string]completion{"family": completeFamilies})
	return cmd
}

// priorsJSON is the JSON answer; it lists everything, whatever --all says.
type priorsJSON struct {
	Families []familyPriors      `json:"families"`
	Tables   []learn.TableChange `json:"tables,omitempty"`
}

// familyPriors are the shares of one family and the jobs behind them.
type familyPriors struct {
	Family   string        `json:"family"`
	Jobs     int           `json:"jobs"`     // closed
	Weighted float64       `json:"weighted"` // what they weigh now
	Strength float64       `json:"strength"` // how many jobs the starting shares are worth
	Priors   []learn.Prior `json:"priors"`
}

func runPriors(a *app, s *shop.Shop, o *priorsOptions) error {
	families := s.Families()
	if o.family != "" {
		family, err := s.Family(o.family)
		if err != nil {
			return usageError{err}
		}
		families = []string{family}
	}
	var out priorsJSON
	for _, id := range families {
		f := familyPriors{Family: id, Strength: s.Base().Settings.Strength}
		var err error
		if f.Priors, err = s.Priors(id); err != nil {
			return err
		}
		if f.Jobs, f.Weighted, err = s.ClosedJobs(id); err != nil {
			return err
		}
		out.Families = append(out.Families, f)
	}
	if o.tables {
		changes, err := s.TableChanges()
		if err != nil {
			return err
		}
		out.Tables = slices.DeleteFunc(changes, func(c learn.TableChange) bool { return !observedIn(s.Base(), c.Observable, families) })
	}
	if a.json {
		return a.printJSON(out)
	}
	p := a.printer()
	for i := range out.Families {
		if i > 0 {
			p.line("")
		}
		p.priors(s.Base(), &out.Families[i], o.all)
	}
	if o.tables {
		p.line("")
		p.tables(s.Base(), out.Tables, o.all)
	}
	return nil
}

// observedIn tells whether a symptom or check, as "check/ID", is of one of the
// families.
func observedIn(b *kb.Base, observable string, families []string) bool {
	kind, id, _ := strings.Cut(observable, "/")
	var of []string
	if x, ok := b.Symptom(id); ok && kind == kb.KindSymptom {
		of = x.Families
	} else if x, ok := b.Check(id); ok && kind == kb.KindCheck {
		of = x.Families
	}
	return slices.ContainsFunc(of, func(f string) bool { return kb.In(families, f) })
}

// priors writes the shares of one family.
func (p *printer) priors(b *kb.Base, f *familyPriors, all bool) {
	if x, ok := b.Family(f.Family); ok {
		p.heading(fmt.Sprintf("%s (%s)", x.Name, x.ID))
	}
	text := fmt.Sprintf("%s, worth %.1f jobs of today; the shares at the start are worth %g jobs.", counted(f.Jobs, "closed job"), f.Weighted, f.Strength)
	if f.Jobs == 0 {
		text = fmt.Sprintf("No closed job yet: all stands as it was at the start, which is worth %g jobs.", f.Strength)
	}
	p.para("  ", text)
	p.line("  start    now    90%% between   jobs  cause")
	left := 0
	for i, x := range f.Priors {
		if !all && x.Jobs == 0 && i >= mostPriors && x.ID != kb.Unlisted {
			left++
			continue
		}
		name := x.Name
		if x.ID == kb.Unlisted {
			name += ", of all jobs"
		}
		p.line("  %5s  %5s  %5s - %5s  %5s  %s", share(x.Start), share(x.Now), share(x.Low), share(x.High), jobsWord(x.Jobs),
			nameAndID(name, x.ID, p.width-39))
	}
	if left > 0 {
		p.para("  ", fmt.Sprintf("%s without a job not listed; --all lists them.", countedAs(left, "rarer cause", "rarer causes")))
	}
}

// share writes how often a cause is the root cause; these are small numbers.
func share(p float64) string { return fmt.Sprintf("%.1f%%", 100*p) }

func jobsWord(n int) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprint(n)
}

// tables writes what closed jobs showed of results.
func (p *printer) tables(b *kb.Base, list []learn.TableChange, all bool) {
	p.heading("Chances of results that closed jobs moved, the most first")
	if len(list) == 0 {
		p.line("  None yet.")
		return
	}
	p.line("  start    now   jobs  result")
	for i, c := range list {
		if i == mostPriors && !all {
			p.line("  %d more; --all lists them.", len(list)-i)
			return
		}
		given := "when it is nothing that bears on it"
		if x, ok := b.Cause(c.Cause); ok {
			given = "when it is: " + x.Name
		}
		p.para(fmt.Sprintf("  %5s  %5s  %5s  ", percent(c.Start), percent(c.Now), jobsWord(c.Jobs)), fmt.Sprintf("%s: %s, %s", c.Name, c.Outcome, given))
	}
}
