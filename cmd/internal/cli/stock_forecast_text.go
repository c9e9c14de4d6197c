package cli

import (
	"fmt"
	"strings"
	"time"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// longDay writes a day for people.
const longDay = "2 Jan 2006"

// forecastTable writes the forecasts of all parts.
func (p *printer) forecastTable(d *shop.Demand, rows []forecastJSON, o *stockForecastOptions) {
	p.heading(fmt.Sprintf("What will be used in the %s from %s", counted(o.days, "day"), d.From.Format(longDay)))
	p.demandBasis(d)
	p.line("")
	p.line("   mean   50%%   90%%   95%%  %s %s method", pad("part", 26), pad("class", 12))
	left := 0
	for i := range rows {
		r := &rows[i]
		if !o.all && r.Quantiles["0.95"] == 0 {
			left++
			continue
		}
		p.line("%7.1f %5d %5d %5d  %s %s %s", r.Mean, r.Quantiles["0.5"], r.Quantiles["0.9"], r.Quantiles["0.95"], pad(r.Part, 26), pad(className(r.Class), 12), r.Method)
	}
	if left == len(rows) {
		p.para("", "  No part is likely to be needed.")
	}
	p.para("  ", "Pieces. 50%, 90%, 95%: in so many of 100 cases no more are used. Why a part's method was chosen: sootsayer stock forecast PART")
	if left > 0 && left < len(rows) {
		p.para("  ", fmt.Sprintf("%s of which none will be used in 95 of 100 cases left out; --all lists them.", countedAs(left, "part is", "parts are")))
	}
}

// className is a class as people read it.
func className(c stock.Class) string {
	if c == stock.NeverSold {
		return "never used"
	}
	return string(c)
}

// demandBasis says what forecasts are made from.
func (p *printer) demandBasis(d *shop.Demand) {
	if d.Months() == 0 {
		p.para("  ", "Nothing was used and no call was closed in a whole month yet, so nothing tells how much will be. Close jobs, or bring past ones in: sootsayer job import FILE.csv, or uses outside of jobs: sootsayer stock usage FILE.csv")
		return
	}
	text := fmt.Sprintf("From %s of history, %s to %s, with %s.", counted(d.Months(), "month"), monthWords(d.First), monthWords(d.Last), counted(d.Calls, "closed call"))
	if n := len(d.Unknown); n > 0 {
		text += fmt.Sprintf(" Of %s in between nothing is known: no call, and no use in the files.", counted(n, "month"))
	}
	switch n := d.Silent(); {
	case n == 1:
		text += " In the month since then nothing was recorded; it counts as unknown."
	case n > 1:
		text += fmt.Sprintf(" In the %d months since then nothing was recorded; they count as unknown.", n)
	}
	if d.Calls == 0 {
		text += " Without closed calls nothing is known of which jobs come; forecasts follow what was used."
	}
	p.para("  ", text)
	if d.Calls > 0 {
		p.para("  ", callWords(d))
	}
}

// callWords say how many calls come of each family, and when.
func callWords(d *shop.Demand) string {
	var words []string
	for i := range d.Families {
		f := &d.Families[i]
		text := fmt.Sprintf("%s %.1f", f.Family, f.Rate.Mean())
		if first, last, ok := f.Rate.Season.FuelSeason(); ok {
			text += fmt.Sprintf(", busy from %s to %s", first, last)
		}
		if f.Heating != nil {
			text += fmt.Sprintf(", %.1f whatever the weather and %.1f for each 1000 degree days", f.Heating.Base, 1000*f.Heating.PerDegreeDay)
		}
		words = append(words, text)
	}
	return "Calls in an average month: " + strings.Join(words, "; ") + "."
}

func monthWords(m stock.Month) string {
	t, err := time.Parse("2006-01", m.String())
	if err != nil {
		return m.String()
	}
	return t.Format("Jan 2006")
}

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
