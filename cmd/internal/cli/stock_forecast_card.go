package cli

import (
	"fmt"
	"strings"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// forecastCard writes everything that is expected of one part.
func (p *printer) forecastCard(s *shop.Shop, d *shop.Demand, r *forecastJSON, order *shop.OrderRow) {
	part, _ := s.Base().Part(r.Part)
	p.heading(fmt.Sprintf("%s (%s)", partName(part), part.ID))
	p.para("  ", partTerms(part))
	p.line("")
	p.heading("What was used, in pieces by month")
	p.usedByMonth(d.History(r.Part))
	p.demandBasis(d)
	p.line("")
	p.heading("What will be used from " + d.From.Format(longDay))
	p.line("   days    mean   50%%   90%%   95%%")
	for _, days := range fanDays(r.Days) {
		f := d.Forecast(r.Part, days)
		p.line("  %5d %7.2f %5d %5d %5d", days, f.Mean, f.Quantiles["0.5"], f.Quantiles["0.9"], f.Quantiles["0.95"])
	}
	p.para("  ", fmt.Sprintf("Class: %s. Method: %s; %s.", className(r.Class), r.Method, r.Why))
	p.losses(r)
	p.line("")
	p.heading("When to order")
	p.para("  ", orderRule(order))
	p.para("  ", order.Why)
}

// partTerms say how a part is bought.
func partTerms(part *kb.Part) string {
	var words []string
	if part.UnitCost > 0 {
		words = append(words, money(part.UnitCost)+" each")
	} else {
		words = append(words, "no price in the base")
	}
	if part.Pack > 1 {
		words = append(words, fmt.Sprintf("in packs of %d", part.Pack))
	}
	if part.MinOrder > 0 {
		words = append(words, fmt.Sprintf("at least %d in one order", part.MinOrder))
	}
	words = append(words, leadWords(part))
	if part.Critical {
		words = append(words, "critical")
	}
	if part.Supplier != "" {
		words = append(words, "from "+part.Supplier)
	}
	return strings.Join(words, "; ")
}

func leadWords(part *kb.Part) string {
	switch {
	case part.LeadDays <= 0:
		return "comes the day it is ordered (no lead time in the base)"
	case part.LeadDaysSD > 0:
		return fmt.Sprintf("comes in %g days, give or take %g", part.LeadDays, part.LeadDaysSD)
	}
	return fmt.Sprintf("comes in %g days", part.LeadDays)
}

func money(v float64) string { return fmt.Sprintf("%.2f", v) }

// orderRule says when to order a part.
func orderRule(r *shop.OrderRow) string {
	if r.ReorderPoint == 0 {
		return "Only when one is wanted: reorder point 0."
	}
	return fmt.Sprintf("When fewer than %d are on hand and on order, up to %d.", r.ReorderPoint, r.OrderUpTo)
}

// usedByMonth writes a row for each year.
func (p *printer) usedByMonth(h stock.History) {
	if len(h.Pieces) == 0 {
		return
	}
	p.line("         Jan  Feb  Mar  Apr  May  Jun  Jul  Aug  Sep  Oct  Nov  Dec")
	row, year := "", ""
	flush := func() {
		if year != "" {
			p.line("  %s %s", year, strings.TrimRight(row, " "))
		}
	}
	for i, n := range h.Pieces {
		m := h.First + stock.Month(i)
		if y := m.String()[:4]; y != year {
			flush()
			year, row = y, strings.Repeat("     ", m.Calendar())
		}
		switch {
		case n < 0:
			row += fmt.Sprintf("%5s", "?")
		case n == 0:
			row += fmt.Sprintf("%5s", ".")
		default:
			row += fmt.Sprintf("%5d", n)
		}
	}
	flush()
}

// fanDays are the horizons that a card shows, up to the one asked for.
func fanDays(days int) []int {
	var list []int
	for _, n := range []int{7, 14, 30, 60, 90, 180, 365, 730, 1095} {
		if n < days {
			list = append(list, n)
		}
	}
	if len(list) > 4 {
		list = list[len(list)-4:]
	}
	return append(list, days)
}

// losses writes how every method did on the part's past.
func (p *printer) losses(r *forecastJSON) {
	if len(r.Losses) == 0 {
		return
	}
	var words []string
	for _, l := range r.Losses {
		words = append(words, fmt.Sprintf("%s %.3f", l.Method, l.Pinball))
	}
	p.para("  ", "Missed by, in pieces a month on the part's own past (pinball loss): "+strings.Join(words, ", ")+".")
}
