package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newJob(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "job",
		Short: "Work a service call from complaint to close",
		Long: `Work a service call from complaint to close. Where a job number may be left out
the open job you acted on last is meant.

` + safetyNote,
		Example: `  sootsayer job open no heat, red light on --family oil-furnace
  sootsayer job next
  sootsayer job record chamber-clear=ok supply-voltage=117
  sootsayer job tried replace-nozzle
  sootsayer job close --cause tank-water`,
	}
	cmd.AddCommand(newJobOpen(a), newJobNext(a), newJobRecord(a), newJobUndo(a), newJobShow(a), newJobList(a),
		newJobTried(a), newJobClose(a), newJobCorrect(a), newJobReopen(a), newJobSheet(a), newJobImport(a), newJobExport(a))
	return cmd
}

// jobHints are the commands that go on with a job.
func jobHints(j *kb.Job) hints {
	return hints{
		found: func(_, id, result string) string {
			return fmt.Sprintf("sootsayer job record %s %s=%s", j.ID, id, result)
		},
		tried: func(fix string) string { return fmt.Sprintf("sootsayer job tried %s %s", j.ID, fix) },
		close: func(cause string) string {
			if cause == "" {
				cause = "CAUSE"
			}
			return fmt.Sprintf("sootsayer job close %s --cause %s", j.ID, cause)
		},
	}
}

// splitJob takes the job number off the front of the arguments: the first one
// when it holds no "=", else the current job is meant.
func splitJob(s *shop.Shop, args []string, more int) (kb.Job, []string, error) {
	if len(args) > more && !strings.Contains(args[0], "=") {
		j, err := s.Job(args[0])
		return j, args[1:], err
	}
	j, err := s.CurrentJob()
	return j, args, err
}

// printJob prints the ranking of a job.
func (a *app) printJob(s *shop.Shop, j *kb.Job, explain bool) error {
	belief, err := s.Believe(j)
	if err != nil {
		return err
	}
	if !a.json {
		title := "Job " + j.ID
		if f, ok := s.Base().Family(j.Family); ok {
			title += " - " + f.Name
		}
		a.printer().line("%s", title)
	}
	return a.printRanking(s.Base(), belief, rankingOutput{job: j, explain: explain, hints: jobHints(j)})
}

// jobCommand makes a command that works on an optional job and further
// arguments: more says how many of those there must be at least.
func (a *app) jobCommand(use, short string, write bool, more, most int, run func(cmd *cobra.Command, s *shop.Shop, j kb.Job, rest []string) error) *cobra.Command {
	return &cobra.Command{Use: use, Short: short, Args: argsBetween(more, most),
		RunE: func(cmd *cobra.Command, args []string) error {
			s, err := a.open(cmd, write)
			if err != nil {
				return err
			}
			defer s.Close()
			j, rest, err := splitJob(s, args, more)
			if err != nil {
				return err
			}
			if len(rest) < more {
				return usagef("write: %s", cmd.UseLine())
			}
			return run(cmd, s, j, rest)
		}}
}
