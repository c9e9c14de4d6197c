package cli

import (
	"fmt"
	"math"
	"strings"
	"time"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb/stock"
)

// stockTable writes a row for each part and place.
func (p *printer) stockTable(s *shop.Shop, list []stockJSON, o *stockListOptions) {
	if len(list) == 0 {
		if o.place != "" {
			p.line("Nothing is counted at %s.", o.place)
			return
		}
		p.para("", "Nothing is counted yet. Begin with: sootsayer stock count shelf PART=N..., or with a table: sootsayer stock count FILE.csv")
		return
	}
	t := newStockTable(p, list)
	p.line("%s", t.row("part", "place", "on hand")+"counted")
	for i := range list {
		t.part(s, &list[i], o.place == "")
	}
	if rest := len(withRest(s, nil)) - len(list); rest > 0 && o.place == "" && !o.all {
		p.line("")
		p.para("", fmt.Sprintf("%s of the base without books are left out: sootsayer stock list --all", countedAs(rest, "part", "parts")))
	}
}

// stockTable is a table being written.
type stockTable struct {
	p        *printer
	id, name int // widths of parts and places
}

const dueRow = "on order" // in the column of places

func newStockTable(p *printer, list []stockJSON) *stockTable {
	t := &stockTable{p: p, id: len("part"), name: len(dueRow)}
	for i := range list {
		t.id = max(t.id, len(list[i].Part))
		for _, at := range list[i].Places {
			t.name = max(t.name, len(at.Place))
		}
	}
	return t
}

func (t *stockTable) row(part, place, number string) string {
	return fmt.Sprintf("%s  %s  %7s  ", pad(part, t.id), pad(place, t.name), number)
}

// part writes the rows of one part; its id stands in the first of them.
func (t *stockTable) part(s *shop.Shop, x *stockJSON, orders bool) {
	id := x.Part
	write := func(place, number, says string) {
		t.p.para(t.row(id, place, number), says)
		id = ""
	}
	for i := range x.Places {
		at := &x.Places[i]
		says := countedAt(at)
		if at.OnHand < 0 {
			says += "; count it"
		}
		write(at.Place, pieces(at.OnHand), says)
	}
	if len(x.Places) == 0 {
		write("", "-", "not counted yet")
	}
	if orders && x.OnOrder > 0 {
		write(dueRow, pieces(x.OnOrder), dueWords(s, x))
	}
	if x.OnHand == nil || *x.OnHand > 0 {
		return
	}
	for _, other := range x.Alternates {
		if other.OnHand != nil && *other.OnHand > 0 {
			write("instead", pieces(*other.OnHand), other.Part+" will do")
		}
	}
}

// dueWords say since when something is on order, and when it is usually there.
func dueWords(s *shop.Shop, x *stockJSON) string {
	oldest := x.Orders[0].At.Local()
	text := "since " + oldest.Format(day)
	if len(x.Orders) > 1 {
		text = fmt.Sprintf("in %d orders, the first of %s", len(x.Orders), oldest.Format(day))
	}
	if part, ok := s.Base().Part(x.Part); ok && part.LeadDays > 0 {
		due := oldest.Add(time.Duration(math.Ceil(part.LeadDays)) * 24 * time.Hour)
		if due.Before(s.Now()) {
			return text + "; should be here since " + due.Format(day)
		}
		text += "; usually here by " + due.Format(day)
	}
	return text
}

// stockCard writes everything that the books say of one part.
func (p *printer) stockCard(s *shop.Shop, x *stockJSON) {
	title := x.Part + ", not in the base"
	part, known := s.Base().Part(x.Part)
	if known {
		title = fmt.Sprintf("%s (%s)", partName(part), x.Part)
	}
	p.heading(title)
	field := func(name, value string) { p.para("  "+pad(name, 14), value) }
	for i := range x.Places {
		at := &x.Places[i]
		field(at.Place, fmt.Sprintf("%s - %s", pieces(at.OnHand), placeWords(at)))
	}
	if x.OnHand == nil {
		field("on hand", "not counted yet: sootsayer stock count shelf "+x.Part+"=N")
	} else if len(x.Places) > 1 {
		field("on hand", pieces(*x.OnHand))
	}
	if x.OnOrder > 0 {
		field("on order", fmt.Sprintf("%s - %s", pieces(x.OnOrder), dueWords(s, x)))
	}
	if known && part.Supplier != "" {
		field("supplier", part.Supplier)
	}
	if len(x.Former) > 0 {
		field("old numbers", strings.Join(x.Former, ", "))
	}
	for i := range x.Places {
		p.countDue(x.Part, x.Places[i].Place, &x.Places[i].OnHand)
	}
	for _, other := range x.Alternates {
		there := "not counted yet"
		if other.OnHand != nil {
			there = pieces(*other.OnHand) + " on hand"
		}
		field("will do too", fmt.Sprintf("%s, %s", other.Part, there))
	}
}

// placeWords say how a place came to what it has.
func placeWords(at *stock.PlaceBook) string {
	c := at.LastCount()
	text := "never counted; books since " + at.Since.Local().Format(day)
	if c != nil {
		text = fmt.Sprintf("counted %s on %s%s", pieces(c.Qty), c.At.Local().Format(dayAndTime), by(c.By))
		if off := c.Difference(); off != 0 {
			text += fmt.Sprintf(" where the books said %s", pieces(*c.Said))
		}
	}
	var since []string
	if at.In != 0 {
		since = append(since, fmt.Sprintf("%s came in", pieces(at.In)))
	}
	if at.Out != 0 {
		since = append(since, fmt.Sprintf("%s were taken", pieces(at.Out)))
	}
	if len(since) > 0 {
		text += "; since then " + strings.Join(since, ", ")
	}
	return text
}
