package cli

import (
	"fmt"
	"math"
	"strings"

	"sootsayer/cmd/internal/shop"
)

// orderList writes what is short now and what to order.
func (p *printer) orderList(s *shop.Shop, d *shop.Demand, rows []shop.OrderRow, ask *shop.OrderOptions, o *stockOrderOptions) {
	if d.Months() == 0 {
		p.demandBasis(d)
	}
	p.shortNow(rows)
	p.heading(orderHeading(d, ask))
	p.orderRows(rows, ask, o.all)
	p.orderTotals(rows, ask)
	p.orderNotes(rows)
}

func orderHeading(d *shop.Demand, ask *shop.OrderOptions) string {
	text := "What to order, " + d.From.Format(longDay)
	if ask.Supplier != "" {
		text += ", from " + ask.Supplier
	}
	if !math.IsInf(ask.Budget, 1) {
		text += ", for at most " + money(ask.Budget)
	}
	return text
}

// shortNow writes the parts that open jobs wait for.
func (p *printer) shortNow(rows []shop.OrderRow) {
	list := shop.ShortNow(rows)
	if len(list) == 0 {
		return
	}
	p.heading("Short now")
	for i := range list {
		r := &list[i]
		var jobs []string
		for _, n := range r.Waiting {
			jobs = append(jobs, fmt.Sprintf("job %s (%s)", n.Job, percent(n.Probability)))
		}
		text := fmt.Sprintf("%d on hand, %d on order; may be needed by %s", r.OnHand, r.OnOrder, strings.Join(jobs, ", "))
		p.para("  "+pad(r.Part, 26)+" ", text)
	}
	p.line("")
}

// orderRows writes the table. By economy the policy of the service stands beside.
func (p *printer) orderRows(rows []shop.OrderRow, ask *shop.OrderOptions, all bool) {
	economic, width, listed := ask.Costs != nil, 26, 0
	if economic {
		width = 24
	}
	for i := range rows {
		r := &rows[i]
		if r.Order == 0 && r.Wanted == 0 && !all {
			continue
		}
		if listed == 0 {
			head := fmt.Sprintf("  %s %5s %5s %5s %5s %6s %9s", pad("part", width), "here", "due", "below", "up to", "order", "cost")
			if economic {
				head += fmt.Sprintf("  %s", "by service")
			}
			p.line("%s", head)
		}
		listed++
		cost := "-"
		if r.Cost != nil && r.Order > 0 {
			cost = money(*r.Cost)
		}
		text := fmt.Sprintf("  %s %5d %5d %5d %5d %6d %9s", pad(r.Part, width), r.OnHand, r.OnOrder, r.ReorderPoint, r.OrderUpTo, r.Order, cost)
		if r.ByService != nil {
			text += fmt.Sprintf("  %d to %d", r.ByService.ReorderPoint, r.ByService.OrderUpTo)
		}
		p.line("%s", text)
	}
	if listed == 0 {
		p.line("  Nothing: what is on hand and on order lasts.")
		return
	}
	p.para("  ", "Ordered when fewer than \"below\" are here and due, in whole packs. Why: sootsayer stock order PART")
}

// orderTotals says what the order costs and saves.
func (p *printer) orderTotals(rows []shop.OrderRow, ask *shop.OrderOptions) {
	var cost, without, with, byCost, byService float64
	parts, wanted := 0, 0
	for i := range rows {
		r := &rows[i]
		without, with = without+r.ShortWithout, with+r.ShortWith
		if r.Order > 0 {
			parts++
		}
		if r.Order < r.Wanted {
			wanted++
		}
		if r.Cost != nil {
			cost += *r.Cost
		}
		if r.Economic != nil {
			byCost, byService = byCost+r.Economic.Cost, byService+r.Economic.OtherCost
		}
	}
	p.line("")
	p.para("  ", fmt.Sprintf("%s for %s. Until the order after this one can be here, %s pieces are expected to be missing without it, %s with it.",
		counted(parts, "part"), money(cost), fewPieces(without), fewPieces(with)))
	if wanted > 0 {
		p.para("  ", fmt.Sprintf("For %s the money was not enough; they are listed with what is ordered of them.", counted(wanted, "part")))
	}
	if ask.Costs != nil {
		p.para("  ", fmt.Sprintf("Keeping, ordering and second trips cost %s a year this way, %s by the service (\"below\" and \"up to\" in the last column). A missing piece costs %s; a piece is kept where it will be missed often enough for that: the critical fractile of each part is in --json.",
			money(byCost), money(byService), money(ask.Costs.Trip)))
	}
}

// fewPieces writes an expected number of pieces.
func fewPieces(n float64) string {
	if n > 0 && n < 0.05 {
		return "less than 0.1"
	}
	return fmt.Sprintf("%.1f", n)
}

// orderNotes says what the numbers leave open.
func (p *printer) orderNotes(rows []shop.OrderRow) {
	uncounted, unpriced := 0, 0
	for i := range rows {
		if !rows[i].Counted && rows[i].Wanted > 0 {
			uncounted++
		}
		if rows[i].UnitCost == nil && rows[i].Wanted > 0 {
			unpriced++
		}
	}
	if uncounted > 0 {
		p.para("  ", fmt.Sprintf("Nobody counted %s of these yet; they are taken as none. Count what is there first: sootsayer stock count shelf PART=N...", countedAs(uncounted, "part", "parts")))
	}
	if unpriced > 0 {
		p.para("  ", fmt.Sprintf("The base has no price for %s of these (unit_cost); they cost nothing in the sums, and no budget orders them.", countedAs(unpriced, "part", "parts")))
	}
}

// askedFor says what service was asked for, where that decides.
func askedFor(r *shop.OrderRow) string {
	if r.Economic != nil {
		return ""
	}
	return "; asked for is " + percent(r.Service)
}

// orderCards writes the reasons for each of some parts.
func (p *printer) orderCards(s *shop.Shop, d *shop.Demand, rows []shop.OrderRow, ask *shop.OrderOptions) {
	for i := range rows {
		r := &rows[i]
		if i > 0 {
			p.line("")
		}
		part, _ := s.Base().Part(r.Part)
		p.heading(fmt.Sprintf("%s (%s)", partName(part), r.Part))
		p.para("  ", partTerms(part))
		do := "order none"
		if r.Order > 0 {
			do = fmt.Sprintf("order %d", r.Order)
			if r.Cost != nil {
				do += " for " + money(*r.Cost)
			}
		}
		p.para("  "+pad("Now:", 10), do)
		p.para("  "+pad("Why:", 10), r.Why)
		p.para("  "+pad("Lasts:", 10), fmt.Sprintf("what is here and due lasts until the order after this one can be here in %s of cases%s. Missing by then: %.2f pieces without the order, %.2f with it.",
			percent(r.Lasts), askedFor(r), r.ShortWithout, r.ShortWith))
		for _, n := range r.Waiting {
			p.para("  "+pad("Waiting:", 10), fmt.Sprintf("job %s may need %d (%s)", n.Job, n.Pieces, percent(n.Probability)))
		}
		if e := r.Economic; e != nil {
			p.para("  "+pad("Costs:", 10), fmt.Sprintf("%s a year this way, %s by the service, which orders below %d, up to %d. Keeping one more until the next order pays where it is missed more than %.2f times in 100 (critical fractile %.4f).",
				money(e.Cost), money(e.OtherCost), r.ByService.ReorderPoint, r.ByService.OrderUpTo, 100*(1-e.Fractile), e.Fractile))
		}
	}
	if d.Months() == 0 {
		p.demandBasis(d)
	}
}
