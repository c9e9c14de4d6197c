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
	keep := func(j kb.Job) error { jobs = append(jobs, j); return nil }
	if a.json {
		if err := eachJob(s, all, keep); err != nil {
			return err
		}
		return a.printJSON(jobs)
	}
	p := a.printer()
	listed := 0
	err := eachJob(s, all, func(j kb.Job) error {
		if listed++; listed == 1 {
			p.line("%s %s %s %s %s", pad("job", 8), pad("opened", 10), pad("family", 16), pad("cause", 20), "complaint")
		}
		p.jobRow(&j)
		return nil
	})
	if err == nil && listed == 0 {
		p.line("No jobs. Open one with: sootsayer job open WORDS --family FAMILY")
	}
	return err
}

// eachJob goes through all jobs, or the open ones, in the order of their
// numbers.
func eachJob(s *shop.Shop, all bool, do func(kb.Job) error) error {
	if !all {
		ids, err := s.OpenJobs()
		if err != nil {
			return err
		}
		for _, id := range ids {
			j, err := s.Job(id)
			if err != nil {
				return err
			}
			if err := do(j); err != nil {
				return err
			}
		}
		return nil
	}
	for j, err := range s.Jobs() {
		if err != nil {
			return err
		}
		if err := do(j); err != nil {
			return err
		}
	}
	return nil
}

// jobRow writes one job as a row of the list.
func (p *printer) jobRow(j *kb.Job) {
	cause := "open"
	if j.Closed() {
		join := ", "
		if j.Closing.OneOf {
			join = " or "
		}
		cause = strings.Join(j.Closing.Causes, join)
	}
	p.line("%s", strings.TrimRight(strings.Join([]string{pad(j.ID, 8), j.Opened.Local().Format("2006-01-02"), pad(j.Family, 16), pad(cause, 20),
		cut(j.Complaint, p.width-58)}, " "), " "))
}
