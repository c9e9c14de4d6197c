package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// unlistedOptions are what `priors --unlisted` is asked.
type unlistedOptions struct {
	on     bool
	settle string
	except []string
	yes    bool
}

// unlistedHelp is what the help of `priors` says of it.
const unlistedHelp = `

With --unlisted the jobs that were closed as unlisted are grouped by the words
of their complaints and notes that stand out against all other jobs, so that you
see which cause to add to the base. Once it is there, --settle GROUP=CAUSE puts
the jobs of a group down to it, after a look at what they said.`

const unlistedExample = `
  sootsayer priors --unlisted --family oil-furnace
  sootsayer priors --unlisted --settle nest=fan-blocked-by-nest --except 31 --base my-base`

func newUnlistedOptions(a *app, cmd *cobra.Command) *unlistedOptions {
	u := &unlistedOptions{}
	f := cmd.Flags()
	f.BoolVar(&u.on, "unlisted", false, "what the jobs closed as unlisted have in common")
	f.StringVar(&u.settle, "settle", "", "GROUP=CAUSE: the jobs of a group were that cause")
	f.StringArrayVar(&u.except, "except", nil, "a job of the group to leave as it is")
	f.BoolVar(&u.yes, "yes", false, "settle them without asking")
	cmd.Long += unlistedHelp
	cmd.Example += unlistedExample
	a.complete(cmd, map[string]completion{"settle": completeSettle, "except": completeClosedJobs})
	return u
}

// completeSettle offers groups, and after the equals sign causes.
func completeSettle(s *shop.Shop, family, typed string) []string {
	var out []string
	if group, _, ok := strings.Cut(typed, "="); ok {
		for i := range s.Base().Causes {
			if c := &s.Base().Causes[i]; family == "" || slices.Contains(shop.ClosingCauses(s.Base(), family), c.ID) {
				out = append(out, group+"="+c.ID+"\t"+c.Name)
			}
		}
		return out
	}
	u, err := s.Unlisted(family, func(int) {})
	if err != nil {
		return nil
	}
	for i := range u.Groups {
		out = append(out, u.Groups[i].ID+"=")
	}
	return out
}

// check tells whether the flags go together.
func (u *unlistedOptions) check(o *priorsOptions) error {
	switch {
	case !u.on && (u.settle != "" || len(u.except) > 0 || u.yes):
		return usagef("--settle, --except and --yes go with --unlisted")
	case u.on && (o.tables || o.model != ""):
		return usagef("--unlisted goes with --family and --all only")
	case u.settle == "" && (len(u.except) > 0 || u.yes):
		return usagef("--except and --yes go with --settle GROUP=CAUSE")
	}
	return nil
}

// run answers `priors --unlisted`.
func (u *unlistedOptions) run(ctx context.Context, a *app, s *shop.Shop, o *priorsOptions) error {
	if o.family != "" {
		family, err := s.Family(o.family)
		if err != nil {
			return usageError{err}
		}
		o.family = family
	}
	say, done := a.progress()
	found, err := s.Unlisted(o.family, func(jobs int) { say(fmt.Sprintf("reading jobs: %d", jobs)) })
	done()
	if err != nil {
		return err
	}
	if u.settle != "" {
		return u.runSettle(ctx, a, s, found)
	}
	if a.json {
		return a.printJSON(found)
	}
	u.tell(a.printer(), s.Base(), found, o.all)
	return nil
}

// How many groups are listed without --all, how many jobs of each with what they
// said, and how many more by their numbers.
const (
	mostUnlistedGroups  = 8
	mostUnlistedJobs    = 3
	mostUnlistedNumbers = 20
)

// tell lists the groups.
func (u *unlistedOptions) tell(p *printer, b *kb.Base, found *shop.Unlisted, all bool) {
	n := len(found.Left)
	for i := range found.Groups {
		n += len(found.Groups[i].Jobs)
	}
	if n == 0 {
		p.line("No job was closed as unlisted.")
		return
	}
	p.para("", fmt.Sprintf("%s closed as unlisted, compared with %s of a listed cause: %s.", countedAs(n, "job was", "jobs were"),
		counted(found.Listed, "closed job"), countedAs(len(found.Groups), "group", "groups")))
	for i := range found.Groups {
		p.line("")
		if i == mostUnlistedGroups && !all {
			p.line("%s more; --all lists them.", countedAs(len(found.Groups)-i, "group", "groups"))
			break
		}
		p.unlistedGroup(b, &found.Groups[i], all)
	}
	if len(found.Left) > 0 {
		p.line("")
		p.heading("In no group: " + counted(len(found.Left), "job"))
		p.unlistedJobs(found.Left, all)
	}
	if len(found.Groups) > 0 {
		p.line("")
		p.para("", "Is a group one cause? Add that to your base (its YAML is described by: sootsayer base schema; check it with: sootsayer base lint DIR). Then put its jobs down to it: sootsayer priors --unlisted --settle GROUP=CAUSE --base DIR")
	}
}

// unlistedGroup writes one group: its words, what its jobs share and said.
func (p *printer) unlistedGroup(b *kb.Base, g *shop.UnlistedGroup, all bool) {
	p.heading(fmt.Sprintf("%s: %s, worth %.1f jobs of today", g.ID, counted(len(g.Jobs), "job"), g.Weight))
	var words []string
	for _, w := range g.Words {
		text := fmt.Sprintf("%s %d", w.Word, w.Jobs)
		if w.Listed > 0 {
			text += fmt.Sprintf(" (of the others %d)", w.Listed)
		}
		words = append(words, text)
	}
	p.para("  words: ", strings.Join(words, ", "))
	if len(g.Families) > 1 {
		var of []string
		for _, f := range b.IDs("families") {
			if n := g.Families[f]; n > 0 {
				of = append(of, fmt.Sprintf("%s %d", f, n))
			}
		}
		p.para("  on: ", strings.Join(of, ", "))
	}
	for _, f := range g.Shared {
		p.para("  shared: ", fmt.Sprintf("%s, in %d of %d", findingWords(b, &kb.Finding{Kind: f.Kind, ID: f.ID, Outcome: f.Outcome}), f.Jobs, len(g.Jobs)))
	}
	p.unlistedJobs(g.Jobs, all)
}

// unlistedJobs writes what jobs said.
func (p *printer) unlistedJobs(jobs []shop.UnlistedJob, all bool) {
	for i, j := range jobs {
		if i == mostUnlistedJobs && !all {
			p.para("  and job ", moreJobs(jobs[i:]))
			return
		}
		text := strings.Join(append([]string{j.Complaint}, j.Notes...), " - ")
		p.para("  job "+j.ID+"  ", strings.TrimPrefix(text, " - "))
	}
}

// moreJobs names jobs.
func moreJobs(jobs []shop.UnlistedJob) string {
	var ids []string
	for _, j := range jobs[:min(len(jobs), mostUnlistedNumbers)] {
		ids = append(ids, j.ID)
	}
	text := strings.Join(ids, ", ")
	if left := len(jobs) - len(ids); left > 0 {
		text += fmt.Sprintf(", and %d more; --all lists them", left)
	}
	return text
}

// errNotSettled says that the person said no.
var errNotSettled = errors.New("nothing was changed")
