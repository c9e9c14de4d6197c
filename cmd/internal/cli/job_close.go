package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

func newJobClose(a *app) *cobra.Command {
	o := &closingFlags{}
	cmd := a.jobCommand("close [JOB] --cause CAUSE...", "Close a job with what it turned out to be", true, 0, 1,
		func(cmd *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error {
			return runJobClose(a, cmd, s, j, o)
		})
	cmd.Long = `Close a job with what it turned out to be, so that the shop learns from it.
Close it when operation is proved. Name several causes when there were several;
add --one-of when it was one of them and nobody knows which. When it was nothing
the base knows: --cause unlisted --note "what it was". Say how sure you are with
--confidence.`
	cmd.Example = `  sootsayer job close --cause nozzle-plugged --used nozzle-085-80-hollow=1 --minutes 45
  sootsayer job close 17 --cause control-dead --confidence 0.8 --used none
  sootsayer job close --cause igniter-weak --cause electrodes-fouled --one-of
  sootsayer job close --cause unlisted --note "mouse nest in the fan housing"`
	cmd.ValidArgsFunction = a.completingJob(nil)
	o.define(a, cmd)
	return cmd
}

// closedJSON is the JSON answer of a closing.
type closedJSON struct {
	Job     kb.Job              `json:"job"`
	Learned []learn.Prior       `json:"learned"`          // the named causes, after
	Tables  []learn.TableChange `json:"tables,omitempty"` // results of its checks, after
	Taken   []shop.StockLine    `json:"taken,omitempty"`  // the parts it used, and what is left
}

func runJobClose(a *app, cmd *cobra.Command, s *shop.Shop, j kb.Job, o *closingFlags) error {
	if len(o.causes) == 0 {
		return whichCause(s, &j)
	}
	closing, err := o.closing(kb.Closing{}, cmd.Flags().Changed, s, j.Family)
	if err != nil {
		return err
	}
	before, err := learnedOf(s, &j)
	if err != nil {
		return err
	}
	if j, err = s.CloseJob(j, closing); err != nil {
		return err
	}
	after, err := learnedOf(s, &j)
	if err != nil {
		return err
	}
	taken, err := s.Taken(&j)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(closedJSON{Job: j, Learned: after.named(j.Closing.Causes), Tables: after.moved(before), Taken: taken})
	}
	p := a.printer()
	p.line("Job %s is closed.", j.ID)
	p.learned(s.Base(), &j, before, after)
	p.taken(&j, taken)
	p.line("  If the trouble comes back: sootsayer job reopen %s", j.ID)
	p.line("  If this was not right: sootsayer job correct %s --cause CAUSE", j.ID)
	return nil
}

// whichCause says how to close a job when no cause was named.
func whichCause(s *shop.Shop, j *kb.Job) error {
	text := "what was it? name the cause with --cause"
	if belief, err := s.Believe(j); err == nil {
		present := belief.Likeliest(3)
		text += "; likeliest: " + strings.Join(present, ", ")
	}
	return usagef("%s\nwas it nothing the base knows: --cause %s --note \"what it was\"", text, kb.Unlisted)
}

func newJobReopen(a *app) *cobra.Command {
	var reason string
	cmd := &cobra.Command{
		Use:   "reopen JOB",
		Short: "Open a closed job again because the trouble came back",
		Long: `Open a closed job again because the trouble came back. What the shop had learned
from its closing is taken back until it is closed anew. When only the closing
was written wrongly, use job correct.`,
		Example: `  sootsayer job reopen 17 --reason "locked out again after two days"`,
		Args:    argsBetween(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			s, err := a.open(cmd, true)
			if err != nil {
				return err
			}
			defer s.Close()
			j, err := s.Job(args[0])
			if err != nil {
				return err
			}
			if j, err = s.Reopen(j, reason); err != nil {
				return err
			}
			if !a.json {
				a.printer().line("Job %s is open again; its count is taken back.", j.ID)
			}
			return a.printJob(s, &j, false)
		},
	}
	cmd.Flags().StringVar(&reason, "reason", "", "what came back")
	return cmd
}
