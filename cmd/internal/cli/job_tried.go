package cli

import (
	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newJobTried(a *app) *cobra.Command {
	var took float64
	cmd := a.jobCommand("tried [JOB] FIX", "Record a fix that was done and did not cure", true, 1, 2,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, rest []string) error {
			if _, ok := s.Base().Fix(rest[0]); !ok {
				return kb.UnknownID("fix", rest[0], s.Base().IDs("fixes"))
			}
			if !(took >= 0) {
				return usagef("--minutes %g: minutes cannot be negative", took)
			}
			j, err := s.Tried(j, rest[0], took)
			if err != nil {
				return err
			}
			return a.printJob(s, &j, false)
		})
	cmd.Long = `Record a fix that was done and did not cure. That is evidence: what it treats
becomes less likely. A fix that cured is not recorded here: close the job.`
	cmd.Example = "  sootsayer job tried replace-nozzle\n  sootsayer job tried 17 replace-nozzle --minutes 25"
	cmd.Flags().Float64Var(&took, "minutes", 0, "minutes it took with its proof")
	cmd.ValidArgsFunction = a.completingJob(completeFixes)
	return cmd
}
