package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb/stock"
)

func newStockScore(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "score",
		Short: "Whether past forecasts of parts were right",
		Long: `Whether past forecasts of parts were right: the last year is forecast month by
month from what was known before it, by every method and by the one that would have
been chosen for each part. "loss" is the pinball loss at the 50, 90 and 95%
quantiles, in pieces a month; less is better. "covered" is how many of 100 months
used no more than the forecast's quantile; pieces are whole, so right forecasts
cover more than the quantile says, as much as stands behind it in brackets.`,
		Example: "  sootsayer stock score",
		Args:    argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error {
				d, err := s.Demand(shop.DemandOptions{})
				if err != nil {
					return err
				}
				score, err := s.StockScore(d)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(score)
				}
				a.printer().stockScore(score)
				return nil
			})
		},
	}
}

// stockScore writes how forecasts did.
func (p *printer) stockScore(s *shop.StockScore) {
	if len(s.Scores) == 0 {
		p.para("", fmt.Sprintf("There is too little history to judge forecasts by: %s. From nine on the last three are forecast from those before.", counted(s.Months, "month")))
		return
	}
	p.heading(fmt.Sprintf("How well parts were forecast, %s to %s", s.From, s.To))
	chosen := scoreOf(s.Scores, stock.Chosen)
	if chosen == nil {
		chosen = &s.Scores[0]
	}
	p.para("  ", fmt.Sprintf("%s of %s, each from the months before it.", counted(chosen.Forecasts, "monthly forecast"), counted(chosen.Parts, "part")))
	p.line("")
	p.line("  %s %6s  %s %s %s %6s %6s", pad("method", 10), "loss", pad("covered 50%", 13), pad("90%", 13), pad("95%", 13), "MASE", "months")
	for _, whole := range []bool{true, false} {
		for i := range s.Scores {
			if x := &s.Scores[i]; (x.Forecasts == chosen.Forecasts) == whole {
				p.scoredMethod(x)
			}
		}
	}
	if chosen.Ahead.Forecasts > 0 {
		p.para("  ", fmt.Sprintf("chosen: what would have been shown. Methods with fewer months stand last: they are for some parts only. The sum of %s came within its 90%% quantile in %s of cases (%s by its own chances).",
			counted(chosen.Ahead.Months, "month"), share(chosen.Ahead.Coverage["0.9"]), share(chosen.Ahead.Expected["0.9"])))
	}
	p.para("  ", "knowledge is scored as the base was authored: what closed jobs taught since is left out. A forecast of nothing wins MASE on parts that move slowly; judge by loss and coverage.")
}

func (p *printer) scoredMethod(x *stock.Score) {
	text := fmt.Sprintf("  %s %6.3f  %s %s %s %6.2f %6d", pad(x.Method, 10), x.Pinball["mean"], coveredWords(x, "0.5"), coveredWords(x, "0.9"), coveredWords(x, "0.95"), x.MASE, x.Forecasts)
	if x.Method == stock.Chosen {
		text = p.paint(bold, text)
	}
	p.line("%s", text)
}

func coveredWords(x *stock.Score, q string) string {
	return pad(fmt.Sprintf("%5.1f (%.1f)", 100*x.Coverage[q], 100*x.Expected[q]), 13)
}

func scoreOf(list []stock.Score, method string) *stock.Score {
	for i := range list {
		if list[i].Method == method {
			return &list[i]
		}
	}
	return nil
}
