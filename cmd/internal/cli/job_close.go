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

// closeOptions are what `job close` is told.
type closeOptions struct {
	causes     []string
	confidence float64
	used       []string
	minutes    float64
	note       string
}

func newJobClose(a *app) *cobra.Command {
	o := &closeOptions{}
	cmd := a.jobCommand("close [JOB] --cause CAUSE...", "Close a job with what it turned out to be", true, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error { return runJobClose(a, s, j, o) })
	cmd.Long = `Close a job with what it turned out to be, so that the shop learns from it. Close
it when operation is proved. Name several causes when there were several. When
it was nothing the base knows: --cause unlisted --note "what it was". Say how
sure you are with --confidence.`
	cmd.Example = `  sootsayer job close --cause nozzle-plugged --used nozzle-085-80-hollow=1 --minutes 45
  sootsayer job close 17 --cause control-dead --confidence 0.8
  sootsayer job close --cause unlisted --note "mouse nest in the fan housing"`
	f := cmd.Flags()
	f.StringArrayVar(&o.causes, "cause", nil, "what it was: a cause, or unlisted")
	f.Float64Var(&o.confidence, "confidence", 1, "how sure you are of that, above 0 and up to 1")
	f.StringArrayVar(&o.used, "used", nil, "a part and how many: PART=1")
	f.Float64Var(&o.minutes, "minutes", 0, "minutes of the whole call")
	f.StringVar(&o.note, "note", "", "a note, such as what an unlisted cause was")
	cmd.ValidArgsFunction = a.completingJob(nil)
	a.complete(cmd, map[string]completion{"cause": completeCauses, "used": completeParts})
	return cmd
}

// closedJSON is the JSON answer of a closing.
type closedJSON struct {
	Job     kb.Job        `json:"job"`
	Learned []learn.Prior `json:"learned"` // the named causes, after
}

func runJobClose(a *app, s *shop.Shop, j kb.Job, o *closeOptions) error {
	closing, err := o.closing(s, &j)
	if err != nil {
		return err
	}
	before, err := s.Priors(j.Family)
	if err != nil {
		return err
	}
	if j, err = s.CloseJob(j, closing); err != nil {
		return err
	}
	after, err := s.Priors(j.Family)
	if err != nil {
		return err
	}
	named := func(p learn.Prior) bool { return !slices.Contains(closing.Causes, p.ID) }
	learned := slices.DeleteFunc(slices.Clone(after), named)
	if a.json {
		return a.printJSON(closedJSON{Job: j, Learned: learned})
	}
	p := a.printer()
	p.line("Job %s is closed.", j.ID)
	for _, now := range learned {
		i := slices.IndexFunc(before, func(x learn.Prior) bool { return x.ID == now.ID })
		p.para("  Learned: ", fmt.Sprintf("%s is now the cause in %.1f%% of such jobs, before in %.1f%%.", now.Name, 100*now.Now, 100*before[i].Now))
	}
	p.line("  If the trouble comes back: sootsayer job reopen %s", j.ID)
	return nil
}

// closing checks what was told and makes a closing of it.
func (o *closeOptions) closing(s *shop.Shop, j *kb.Job) (kb.Closing, error) {
	c := kb.Closing{Causes: o.causes, Confidence: o.confidence, Minutes: o.minutes, Note: o.note}
	if len(o.causes) == 0 {
		return c, o.whichCause(s, j)
	}
	if !(o.confidence > 0 && o.confidence <= 1) {
		return c, usagef("--confidence %g: give a number above 0 and up to 1", o.confidence)
	}
	if o.minutes < 0 {
		return c, usagef("--minutes %g: minutes cannot be negative", o.minutes)
	}
	have := shop.ClosingCauses(s.Base(), j.Family)
	for i, id := range o.causes {
		if !slices.Contains(have, id) {
			return c, kb.UnknownID("cause of "+j.Family, id, have)
		}
		if slices.Contains(o.causes[:i], id) {
			return c, usagef("cause %s is named twice", id)
		}
	}
	for _, text := range o.used {
		part, qty, err := shop.ParsePieces(s.Base(), text)
		if err != nil {
			return c, err
		}
		if c.Used == nil {
			c.Used = make(map[string]float64)
		}
		c.Used[part] += qty
	}
	return c, nil
}

// whichCause says how to close a job when no cause was named.
func (o *closeOptions) whichCause(s *shop.Shop, j *kb.Job) error {
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
from its closing is taken back until it is closed anew.`,
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
