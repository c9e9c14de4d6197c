package cli

import (
	"fmt"
	"strings"
	"time"

	"sootsayer/cmd/internal/shop"
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
