package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newJobNext(a *app) *cobra.Command {
	var explain bool
	cmd := a.jobCommand("next [JOB]", "What it probably is, and what to do next", false, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error {
			if j.Closed() {
				return fmt.Errorf("job %s is closed; see: sootsayer job show %s", j.ID, j.ID)
			}
			return a.printJob(s, &j, explain)
		})
	cmd.Example = "  sootsayer job next\n  sootsayer job next 17 --explain"
	cmd.Flags().BoolVar(&explain, "explain", false, "say what speaks for and against the likeliest causes")
	cmd.ValidArgsFunction = a.completingJob(nil)
	return cmd
}
