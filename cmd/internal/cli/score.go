package cli

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/picture"
	"sootsayer/cmd/internal/shop"
	"sootsayer/ranker/score"
)

// scoreOptions are what `score` is told.
type scoreOptions struct {
	from    string
	family  string
	plot    string
	replace bool
}

func newScore(a *app) *cobra.Command {
	o := &scoreOptions{}
	cmd := &cobra.Command{
		Use:   "score [--from DATE] [--family FAMILY] [--plot FILE.svg|png]",
		Short: "How well past jobs were predicted, and whether learning helped",
		Long: `How well past jobs were predicted. Every closed job is predicted from the jobs
that were closed before it was opened, never from later ones: first from its
complaint, then after each finding. What was said is held against the cause that
it was closed with, and against two ways to predict without learning: the base
as authored, which sees the same findings, and always the commonest cause.

--from scores only jobs opened from that day on; earlier ones still teach. --plot
draws whether its chances could be taken at their word, and the surprise at the
true cause over time.`,
		Example: `  sootsayer score
  sootsayer score --from 2024-07-01 --family oil-furnace
  sootsayer score --plot score.svg`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runScore(cmd, a, s, o) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.from, "from", "", "score only jobs opened from this day on, as in 2024-07-01")
	f.StringVar(&o.family, "family", "", "score only jobs of this kind of equipment")
	f.StringVar(&o.plot, "plot", "", "draw a picture to a file that ends in .svg or .png")
	f.BoolVar(&o.replace, "replace", false, "write over a picture that is there")
	a.complete(cmd, map[string]completion{"family": completeFamilies})
	return cmd
}

// read turns the options into what the shop is asked, and the picture's format.
func (o *scoreOptions) read(s *shop.Shop) (ask shop.ScoreOptions, format string, err error) {
	if o.from != "" {
		if ask.From, err = time.ParseInLocation(time.DateOnly, o.from, time.Local); err != nil {
			return ask, "", usagef("--from %q is not a day; write it as 2024-07-01", o.from)
		}
	}
	if o.family != "" {
		if ask.Family, err = s.Family(o.family); err != nil {
			return ask, "", usageError{err}
		}
	}
	if o.plot != "" {
		if format, err = picture.Format(o.plot); err != nil {
			return ask, "", usageError{err}
		}
	}
	return ask, format, nil
}

// scoreJSON is the JSON answer.
type scoreJSON struct {
	*score.Report
	Plot string `json:"plot,omitempty"` // file of the picture
}

func runScore(cmd *cobra.Command, a *app, s *shop.Shop, o *scoreOptions) error {
	ask, format, err := o.read(s)
	if err != nil {
		return err
	}
	bar := a.progressBar("predicting past jobs", 0)
	bar.unit = "jobs"
	ask.Progress = func(done, jobs int) {
		bar.total = int64(jobs)
		bar.show(int64(done), done)
	}
	r, err := s.Score(cmd.Context(), ask)
	bar.clear()
	if err != nil {
		return err
	}
	drawn := o.plot != "" && r.Jobs.Scored > 0
	if drawn {
		if err := writeFile(o.plot, o.replace, func(w io.Writer) error { return plotScore(w, format, r) }); err != nil {
			return err
		}
	}
	if a.json {
		out := scoreJSON{Report: r}
		if drawn {
			out.Plot = o.plot
		}
		return a.printJSON(out)
	}
	a.printer().score(s.Base(), r)
	switch {
	case drawn:
		a.errln(fmt.Sprintf("Drew %s.", o.plot))
	case o.plot != "":
		a.notice(fmt.Sprintf("%s is not drawn: there is nothing to show yet", o.plot))
	}
	return nil
}
