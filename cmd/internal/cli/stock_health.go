package cli

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockHealth(a *app) *cobra.Command {
	all := false
	cmd := &cobra.Command{
		Use:   "health [--all]",
		Short: "Dead stock, too much, turns, and how well the shelf serves",
		Long: `What lies there too long, what there is too much of, how often it is turned over,
and how well shelf and trucks served: the share of time with a piece there (ready
rate) and the share of pieces that came from stock (fill rate), as they were by the
books in the last year, and as predicted when parts are ordered as "stock order"
says. Dead stock was not used for a year, will likely not be in the next, and would
not be ordered.`,
		Example: "  sootsayer stock health\n  sootsayer stock health --all",
		Args:    argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error {
				d, err := s.Demand(shop.DemandOptions{})
				if err != nil {
					return err
				}
				h, err := s.Health(d, shop.UsualOrder())
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(h)
				}
				a.printer().health(h, all)
				return nil
			})
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "list every part that was counted")
	return cmd
}

// health writes how it stands with the stock.
func (p *printer) health(h *shop.Health, all bool) {
	if len(h.Parts) == 0 {
		p.para("", "Nothing is counted yet, so there is nothing to judge. Begin with: sootsayer stock count shelf PART=N...")
		return
	}
	p.heading(fmt.Sprintf("What lies there: %s, worth %s", counted(len(h.Parts), "part"), money(h.Value)))
	p.para("  ", fmt.Sprintf("Dead: %s. Too much: %s. Turns a year: %s.", money(h.Dead), money(h.Over), toldNumber(h.Turns, "%.1f")))
	p.line("")
	p.line("  %s %16s %12s", pad("how well it serves", 22), "by the books", "predicted")
	p.line("  %s %16s %12s", pad("ready rate, by part", 22), toldShare(h.Was.Ready), toldShare(h.Will.Ready))
	p.line("  %s %16s %12s", pad("fill rate, by piece", 22), toldShare(h.Was.Fill), toldShare(h.Will.Fill))
	p.para("  ", fmt.Sprintf("The books tell of %s. Calls that waited for a part leave nothing in them, so the truth was worse, if anything. Predicted: when ordered as \"stock order\" says.", counted(int(h.Days+0.5), "day")))
	if h.NoPrice > 0 {
		p.para("  ", fmt.Sprintf("The base has no price for %s of these; the sums leave them out.", countedAs(h.NoPrice, "part", "parts")))
	}
	if h.Uncounted > 0 {
		p.para("  ", countedAs(h.Uncounted, "part was not counted yet and is left out.", "parts were not counted yet and are left out."))
	}
	dead := func(x *shop.PartHealth) bool { return x.Dead }
	over := func(x *shop.PartHealth) bool { return x.Over > 0 && !x.Dead }
	p.healthList("Dead stock", h, dead)
	p.healthList("More than a year will need", h, over)
	if all {
		p.healthList("Every part", h, func(*shop.PartHealth) bool { return true })
	}
}

// healthList writes some parts, those worth most first.
func (p *printer) healthList(title string, h *shop.Health, which func(*shop.PartHealth) bool) {
	var list []*shop.PartHealth
	for i := range h.Parts {
		if which(&h.Parts[i]) {
			list = append(list, &h.Parts[i])
		}
	}
	if len(list) == 0 {
		return
	}
	value := func(x *shop.PartHealth) float64 {
		if x.Value == nil {
			return 0
		}
		return *x.Value
	}
	slices.SortStableFunc(list, func(a, b *shop.PartHealth) int { return cmp.Compare(value(b), value(a)) })
	p.line("")
	p.heading(title)
	p.line("  %s %5s %8s %6s %6s %6s %5s %5s", pad("part", 24), "here", "value", "used", "next", "days", "ready", "fill")
	for _, x := range list {
		p.line("  %s %5s %8s %6s %6.1f %6s %5s %5s", pad(x.Part, 24), pieces(x.OnHand), toldNumber(x.Value, "%.2f"), pieces(x.LastYear), x.Expected,
			toldNumber(x.Cover, "%.0f"), toldShare(x.Was.Ready), toldShare(x.Was.Fill))
	}
	p.para("  ", "used: pieces in the last year; next: expected in the coming one; days: how long what is here lasts; ready, fill: as they were by the books.")
}

func toldShare(x *float64) string {
	if x == nil {
		return "-"
	}
	return percent(*x)
}

func toldNumber(x *float64, format string) string {
	if x == nil {
		return "-"
	}
	return fmt.Sprintf(format, *x)
}
