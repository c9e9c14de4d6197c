package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/ranker"
)

// sheetChecks is how many checks a sheet carries.
const sheetChecks = 5

func newJobSheet(a *app) *cobra.Command {
	cmd := a.jobCommand("sheet [JOB]", "A sheet to print and take along, with the cautions", false, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error { return runJobSheet(a, s, &j) })
	cmd.Long = `A sheet to print and take along: what was recorded, what it probably is, the
checks that are worth doing in order, and the cautions of each.

` + safetyNote
	cmd.Example = "  sootsayer job sheet 17 | lpr"
	cmd.ValidArgsFunction = a.completingJob(nil)
	return cmd
}

// sheetJSON is a sheet as data.
type sheetJSON struct {
	Job      shownJob       `json:"job"`
	Cautions []string       `json:"cautions"`
	Next     ranker.Ranking `json:"next"`
}

func runJobSheet(a *app, s *shop.Shop, j *kb.Job) error {
	belief, err := s.Believe(j)
	if err != nil {
		return err
	}
	again, err := s.Reopenings(j.ID)
	if err != nil {
		return err
	}
	r := belief.Rank(ranker.Options{})
	cautions := []string{strings.Join(strings.Fields(safetyNote), " ")}
	if f, ok := s.Base().Family(j.Family); ok {
		cautions = append(cautions, f.Cautions...)
	}
	if a.json {
		return a.printJSON(sheetJSON{Job: shownJob{*j, again}, Cautions: cautions, Next: r})
	}
	p := a.printer()
	showJob(p, s.Base(), j, again)
	p.line("")
	for _, text := range cautions {
		p.caution("  ", text)
	}
	p.line("")
	sc := &screen{card: card{p: p, base: s.Base(), rank: &r, hints: hints{}}, causes: screenCauses}
	sc.listCauses()
	sc.doubts()
	sc.holds()
	sc.sheetSteps()
	p.line("")
	p.line("Result: ______________________________  Proved by: __________________")
	p.line("Parts used: __________________________  Minutes: ____________________")
	return nil
}

// sheetSteps writes the advised step and the next checks in full.
func (s *screen) sheetSteps() {
	if s.rank.Advice.Do != ranker.DoCheck || s.rank.Advice.Hold != "" {
		s.p.line("")
		s.next()
		return
	}
	written := 0
	for i := range s.rank.Checks {
		c := &s.rank.Checks[i]
		if c.Held != nil || written == sheetChecks {
			continue
		}
		if c.MinutesSaved == nil || *c.MinutesSaved <= 0 {
			continue
		}
		s.p.line("")
		s.check(c)
		s.p.line("  Found: ____________________________")
		written++
	}
	s.p.line("")
	s.p.para("", fmt.Sprintf("%d checks, the most told per minute first; which is best next may change with each result.", written))
}
