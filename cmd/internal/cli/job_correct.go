package cli

import (
	"maps"
	"slices"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// correctOptions are what `job correct` is told.
type correctOptions struct {
	closingFlags
	closed string
}

func newJobCorrect(a *app) *cobra.Command {
	o := &correctOptions{}
	cmd := &cobra.Command{
		Use:   "correct JOB --cause CAUSE...",
		Short: "Put right how a closed job ended",
		Long: `Put right how a closed job ended, when the closing was written wrongly. What you
do not name stays as it was; how sure it is goes with the cause. What the shop
learned from the old closing is taken back, and nothing counts as a fix that
failed. When the trouble came back, use job reopen.`,
		Example: `  sootsayer job correct 17 --cause tank-water
  sootsayer job correct 17 --used none --minutes 60
  sootsayer job correct 17 --closed 2026-01-15`,
		Args: argsBetween(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.withShop(cmd, true, func(s *shop.Shop) error {
				j, err := s.Job(args[0])
				if err != nil {
					return err
				}
				return runJobCorrect(a, cmd, s, j, o)
			})
		},
	}
	o.define(a, cmd)
	cmd.Flags().StringVar(&o.closed, "closed", "", "when it was closed: a day or a time (default: stays)")
	return cmd
}

// correctedJSON is the JSON answer of a correction.
type correctedJSON struct {
	Job     kb.Job     `json:"job"`
	Before  kb.Closing `json:"before"`
	Changed bool       `json:"changed"`

	Taken []shop.StockLine `json:"taken,omitempty"` // the parts it used, and what is left
}

func runJobCorrect(a *app, cmd *cobra.Command, s *shop.Shop, j kb.Job, o *correctOptions) error {
	if !j.Closed() {
		_, err := s.CorrectClosing(j, kb.Closing{})
		return err
	}
	told := cmd.Flags().Changed
	if !slices.ContainsFunc([]string{"cause", "one-of", "confidence", "fix", "used", "from", "minutes", "fix-minutes", "note", "closed"}, told) {
		return usagef("what was wrong? job %s reads: %s\nname what it should be, such as --cause CAUSE", j.ID, closingWords(s.Base(), j.Closing))
	}
	before := *j.Closing
	closing, err := o.closing(before, told, s, j.Family)
	if err != nil {
		return err
	}
	if told("closed") {
		if closing.At, err = s.ClosedAt(&j, o.closed); err != nil {
			return usageError{err}
		}
	}
	changed := !sameClosing(&before, &closing)
	if changed {
		if j, err = s.CorrectClosing(j, closing); err != nil {
			return err
		}
	}
	taken, err := s.Taken(&j)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(correctedJSON{Job: j, Before: before, Changed: changed, Taken: taken})
	}
	p := a.printer()
	if !changed {
		p.line("Job %s reads so already; nothing was changed.", j.ID)
		return nil
	}
	p.line("Job %s is corrected.", j.ID)
	showClosing(p, s.Base(), &before, "before")
	showClosing(p, s.Base(), j.Closing, "now")
	p.taken(&j, taken)
	return nil
}

// sameClosing tells whether two closings say the same, whoever said it.
func sameClosing(a, b *kb.Closing) bool {
	return a.At.Equal(b.At) && slices.Equal(a.Causes, b.Causes) && a.OneOf == b.OneOf && slices.Equal(a.Fixes, b.Fixes) &&
		a.Confidence == b.Confidence && a.Minutes == b.Minutes && a.FixMinutes == b.FixMinutes &&
		maps.Equal(a.Used, b.Used) && (a.Used == nil) == (b.Used == nil) && a.From == b.From && a.Note == b.Note
}
