package cli

import (
	"bufio"
	"context"
	"fmt"
	"slices"
	"strings"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// settledJSON is the JSON answer of a settling.
type settledJSON struct {
	Group    string          `json:"group"`
	Cause    string          `json:"cause"`
	Jobs     []string        `json:"jobs"` // that were changed
	Families []settledFamily `json:"families"`
}

// settledFamily is how the shares of the cause and of the unlisted one moved in
// a family.
type settledFamily struct {
	Family string        `json:"family"`
	Before []learn.Prior `json:"before"`
	After  []learn.Prior `json:"after"`
}

// runSettle puts the jobs of a group down to a cause.
func (u *unlistedOptions) runSettle(ctx context.Context, a *app, s *shop.Shop, found *shop.Unlisted) error {
	group, cause, ok := strings.Cut(u.settle, "=")
	if group, cause = strings.TrimSpace(group), strings.TrimSpace(cause); !ok || group == "" || cause == "" {
		return usagef("--settle %q: write GROUP=CAUSE; the groups: sootsayer priors --unlisted", u.settle)
	}
	plan, err := s.Settling(found, group, cause, u.except)
	if err != nil {
		return err
	}
	if !a.json {
		a.tellSettling(s.Base(), &plan)
	}
	if !u.yes {
		if err := a.confirm(ctx, fmt.Sprintf("Were these %s?", plan.Cause)); err != nil {
			return err
		}
	}
	families := familiesIn(plan.Jobs)
	before, err := priorsIn(s, families)
	if err != nil {
		return err
	}
	jobs, err := s.Settle(plan)
	if err != nil {
		return fmt.Errorf("%s changed before this: %w", countedAs(len(jobs), "job was", "jobs were"), err)
	}
	after, err := priorsIn(s, families)
	if err != nil {
		return err
	}
	answer := settledJSON{Group: group, Cause: plan.Cause, Jobs: []string{}}
	for _, j := range jobs {
		answer.Jobs = append(answer.Jobs, j.ID)
	}
	for i, f := range families {
		answer.Families = append(answer.Families, settledFamily{f, ofCauses(before[i], plan.Cause), ofCauses(after[i], plan.Cause)})
	}
	if a.json {
		return a.printJSON(answer)
	}
	a.tellSettled(&answer)
	return nil
}

// confirm asks a person to agree; without one to ask it says how to do without.
func (a *app) confirm(ctx context.Context, question string) error {
	if a.json || !a.asks() {
		return usagef("%w: there is nobody to ask; add --yes to settle them", errNotSettled)
	}
	a.printer().para("", question)
	fmt.Fprint(a.env.Out, "  y or n: ")
	text, _, err := nextLine(ctx, bufio.NewScanner(a.env.In))
	if err != nil {
		return err
	}
	if answer := strings.ToLower(strings.TrimSpace(text)); answer != "y" && answer != kb.Yes {
		return errNotSettled
	}
	return nil
}

// tellSettling shows the jobs and what they said.
func (a *app) tellSettling(b *kb.Base, plan *shop.Settling) {
	p := a.printer()
	p.heading(fmt.Sprintf("%s: %s closed as unlisted", plan.Group, countedAs(len(plan.Jobs), "job", "jobs")))
	p.unlistedJobs(plan.Jobs, true)
	p.para("  would be: ", causeWords(b, []string{plan.Cause}, false))
	p.line("")
}

func (a *app) tellSettled(done *settledJSON) {
	p := a.printer()
	p.line("%s now closed as %s.", countedAs(len(done.Jobs), "job is", "jobs are"), done.Cause)
	for _, f := range done.Families {
		for i, now := range f.After {
			p.para("  Learned: ", fmt.Sprintf("%s: %s is now the cause in %s of the jobs, before in %s.", f.Family, now.Name, share(now.Now), share(f.Before[i].Now)))
		}
	}
	if len(done.Jobs) > 0 {
		p.para("  If one of them was something else: ", fmt.Sprintf("sootsayer job correct %s --cause CAUSE", done.Jobs[0]))
	}
}

// familiesIn lists the families of jobs.
func familiesIn(jobs []shop.UnlistedJob) []string {
	var out []string
	for _, j := range jobs {
		if !slices.Contains(out, j.Family) {
			out = append(out, j.Family)
		}
	}
	slices.Sort(out)
	return out
}

// priorsIn are the shares of families.
func priorsIn(s *shop.Shop, families []string) ([][]learn.Prior, error) {
	out := make([][]learn.Prior, len(families))
	for i, f := range families {
		var err error
		if out[i], err = s.Priors(f, ""); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// ofCauses are the shares of a cause and of the unlisted one.
func ofCauses(list []learn.Prior, cause string) []learn.Prior {
	var out []learn.Prior
	for _, id := range []string{cause, kb.Unlisted} {
		if i := slices.IndexFunc(list, func(p learn.Prior) bool { return p.ID == id }); i >= 0 {
			out = append(out, list[i])
		}
	}
	return out
}
