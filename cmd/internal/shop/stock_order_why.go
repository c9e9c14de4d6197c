package shop

import (
	"fmt"
	"math"
	"strings"

	"sootsayer/kb/stock"
)

// orderWhy says in plain words why so many are ordered, or none.
func (s *Shop) orderWhy(r *OrderRow, l *stock.OrderLine, o OrderOptions) string {
	var b strings.Builder
	b.WriteString(hereWords(r))
	days := int(math.Ceil(r.LeadDays)) + o.ReviewDays
	until := fmt.Sprintf("until the next order can be here, about %s", countDays(days))
	if r.LeadDays <= 0 {
		until = fmt.Sprintf("until the next order, %s on (it comes the day it is ordered)", countDays(days))
	}
	switch {
	case r.Economic != nil && r.ReorderPoint == 0:
		b.WriteString(" Keeping one costs more than the second trips that it would save: order it when it is needed.")
	case r.Economic != nil:
		fmt.Fprintf(&b, " It is cheapest to order when fewer than %d are left, up to %d; %s %s in %s.", r.ReorderPoint, r.OrderUpTo, enough(r.ReorderPoint), until, outOf(r.Economic.Lasts))
	case r.ReorderPoint == 0:
		fmt.Fprintf(&b, " None will do %s in %s.", until, outOf(r.item.Protect.CDF(0)))
	default:
		fmt.Fprintf(&b, " %s %s in %s, and %d for %s more.", upper(enough(r.ReorderPoint)), until, outOf(r.item.Protect.CDF(r.ReorderPoint)), r.OrderUpTo, countDays(o.CoverDays))
	}
	s.orderedWhy(&b, r, l)
	return b.String()
}

// orderedWhy says what follows for the order.
func (s *Shop) orderedWhy(b *strings.Builder, r *OrderRow, l *stock.OrderLine) {
	part, _ := s.base.Part(r.Part)
	switch {
	case l.NoPrice:
		fmt.Fprintf(b, " %d are wanted, but the base has no price, so that no budget can be kept.", l.Full)
	case l.Full > 0 && l.Order == 0:
		fmt.Fprintf(b, " %d are wanted; the money saves more elsewhere.", l.Full)
	case l.Order < l.Full:
		fmt.Fprintf(b, " %d are wanted; the money is enough for %d.", l.Full, l.Order)
	}
	if l.Full == 0 || l.Full == l.OrderUpTo-l.OnHand-l.OnOrder {
		return
	}
	if part.MinOrder > 0 && l.Full <= part.MinOrder+part.Pack {
		fmt.Fprintf(b, " At least %d are sold.", part.MinOrder)
	} else if part.Pack > 1 {
		fmt.Fprintf(b, " They come in packs of %d.", part.Pack)
	}
}

// hereWords say what is there and on the way.
func hereWords(r *OrderRow) string {
	switch {
	case !r.Counted && r.OnOrder > 0:
		return fmt.Sprintf("Not counted yet, taken as none; %d on order.", r.OnOrder)
	case !r.Counted:
		return "Not counted yet, taken as none."
	case r.OnHand < 0:
		return fmt.Sprintf("The books say %d: count it; %s on order.", r.OnHand, noneOr(r.OnOrder))
	}
	return fmt.Sprintf("%s here, %s on order.", upper(noneOr(r.OnHand)), noneOr(r.OnOrder))
}

// enough says that so many pieces will do.
func enough(n int) string {
	if n == 1 {
		return "1 is enough"
	}
	return fmt.Sprintf("%d are enough", n)
}

func upper(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

func noneOr(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

func countDays(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

// outOf writes a chance as a number of cases.
func outOf(p float64) string {
	switch {
	case p >= 0.9995:
		return "nearly every case"
	case p >= 0.99:
		return fmt.Sprintf("%d of 1000 cases", int(math.Floor(1000*p+1e-9)))
	}
	return fmt.Sprintf("%d of 100 cases", int(math.Floor(100*p+1e-9)))
}
