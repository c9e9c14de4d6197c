package cli

import (
	"fmt"
	"strings"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// taken changes what a closing used, and where that came from, by what was told.
func (o *closingFlags) taken(c *kb.Closing, told func(flag string) bool, s *shop.Shop) (err error) {
	if told("used") {
		if c.Used, err = usedParts(s.Base(), o.used, o.notice); err != nil {
			return err
		}
	}
	switch {
	case len(c.Used) == 0 && told("from"):
		return usagef("--from %s: no part was used; name what was taken with --used", o.from)
	case len(c.Used) == 0:
		c.From = ""
	case told("from"):
		if c.From, err = s.Place(o.from, false); err != nil {
			return wrongUse(err)
		}
		if c.From == stock.Shelf {
			c.From = "" // as where nothing is told
		}
	}
	return nil
}

// usedParts reads what --used was given; nothing used is an empty answer, not
// none. Of former and superseded numbers notice is given.
func usedParts(b *kb.Base, list []string, notice func(string)) (map[string]float64, error) {
	used := make(map[string]float64)
	for _, text := range list {
		if text == none && len(list) > 1 {
			return nil, usagef("--used none: other parts are named too; leave one of them out")
		}
		if text == none {
			break
		}
		part, qty, err := shop.ParsePieces(b, text)
		if err != nil {
			return nil, err
		}
		if id, _, _ := strings.Cut(text, "="); strings.TrimSpace(id) != part {
			if _, err := shop.ParsePart(b, id, notice); err != nil {
				return nil, err
			}
		}
		used[part] += qty
	}
	return used, nil
}

// taken says what is left of the parts that a job used, where books are kept of
// them.
func (p *printer) taken(j *kb.Job, lines []shop.StockLine) {
	for i := range lines {
		l := &lines[i]
		switch {
		case l.OnHand != nil && l.Qty > 0:
			text := fmt.Sprintf("Taken from %s: %s x %s", l.Place, pieces(l.Qty), l.Part)
			if *l.OnHand >= 0 {
				text += fmt.Sprintf("; %s left there", pieces(*l.OnHand))
			}
			p.para("  ", text+".")
		case l.Elsewhere != "":
			p.para("  ", fmt.Sprintf("%s is not in the books of %s. Was it taken from %s?", l.Part, l.Place, l.Elsewhere))
			p.line("    sootsayer job correct %s --from %s", j.ID, l.Elsewhere)
		}
	}
	for i := range lines {
		p.countDue(lines[i].Part, lines[i].Place, lines[i].OnHand)
	}
}
