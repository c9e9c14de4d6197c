package stock

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func drawItem(t *rapid.T, part string) Item {
	i := Item{Part: part, OnHand: rapid.IntRange(-2, 6).Draw(t, "on hand"), OnOrder: rapid.IntRange(0, 4).Draw(t, "on order"),
		Service: rapid.Float64Range(0.5, 0.999).Draw(t, "service"), UnitCost: float64(rapid.IntRange(1, 2000).Draw(t, "cents")) / 100}
	i.Pack, i.Minimum = rapid.IntRange(0, 4).Draw(t, "pack"), rapid.IntRange(0, 6).Draw(t, "minimum")
	i.Protect = Compound(drawUses(t, 6), drawPieces(t))
	i.Cover = i.Protect.Plus(Compound(drawUses(t, 6), drawPieces(t)))
	return i
}

func drawItems(t *rapid.T) []Item {
	items := make([]Item, rapid.IntRange(1, 5).Draw(t, "parts"))
	for k := range items {
		items[k] = drawItem(t, string(rune('a'+k)))
	}
	return items
}

// TestOrderLine holds a line to what it promises, each found by trying.
func TestOrderLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := drawItem(t, "part")
		l := NewOrderLine(&i)
		lasts := func(d Distribution, stock int) bool { return d.CDF(stock) >= i.Service-1e-9 }
		least := func(d Distribution) int {
			n := 0
			for !lasts(d, n) {
				n++
			}
			return n
		}
		if l.ReorderPoint != least(i.Protect) || l.OrderUpTo != max(l.ReorderPoint, least(i.Cover)) {
			t.Fatalf("policy %+v, by trying %d and %d", l.Policy, least(i.Protect), least(i.Cover))
		}
		if (l.Order > 0) != (i.Position() < l.ReorderPoint) {
			t.Fatalf("%d on hand and on order, reorder point %d: %d ordered", i.Position(), l.ReorderPoint, l.Order)
		}
		if l.Order > 0 {
			if l.Order%max(1, i.Pack) != 0 || l.Order < i.Minimum || i.Position()+l.Order < l.OrderUpTo {
				t.Fatalf("%d ordered, packs of %d, at least %d, from %d to %d", l.Order, i.Pack, i.Minimum, i.Position(), l.OrderUpTo)
			}
			if less := l.Order - max(1, i.Pack); less >= max(1, i.Minimum) && i.Position()+less >= l.OrderUpTo {
				t.Fatalf("a pack less than %d would do", l.Order)
			}
		}
		short := func(stock int) (sum float64) { // E(demand - stock)+
			for n, p := range i.Protect {
				sum += max(0, float64(n-stock)) * p
			}
			return sum
		}
		if math.Abs(l.ShortWithout-short(i.Position())) > 1e-9 || math.Abs(l.ShortWith-short(i.Position()+l.Order)) > 1e-9 {
			t.Fatalf("missing %v and %v, by hand %v and %v", l.ShortWithout, l.ShortWith, short(i.Position()), short(i.Position()+l.Order))
		}
		if math.Abs(l.Cost-float64(l.Order)*i.UnitCost) > 1e-9 {
			t.Fatalf("cost %v", l.Cost)
		}
	})
}

func spentAndSaved(lines []OrderLine) (spent, saved float64) {
	for _, l := range lines {
		spent += l.Cost
		saved += l.ShortWithout - l.ShortWith
	}
	return spent, saved
}

// TestBudget: it is never gone over, whole packs are ordered, more money never
// saves fewer pieces, and enough of it orders everything.
func TestBudget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := drawItems(t)
		all := Order(items, math.Inf(1))
		full, most := spentAndSaved(all)
		budget := rapid.Float64Range(0, full*1.1).Draw(t, "budget")
		more := budget + rapid.Float64Range(0, full*0.5).Draw(t, "more")
		lines, richer := Order(items, budget), Order(items, more)
		spent, saved := spentAndSaved(lines)
		_, savedMore := spentAndSaved(richer)
		if spent > budget+1e-9 {
			t.Fatalf("%v spent of %v", spent, budget)
		}
		if savedMore < saved-1e-9 {
			t.Fatalf("%v saves %v pieces, and %v only %v", budget, saved, more, savedMore)
		}
		for k, l := range lines {
			i := &items[k]
			if l.Full != all[k].Order || l.Order > l.Full || l.Order%max(1, i.Pack) != 0 || l.Order > 0 && l.Order < i.Minimum {
				t.Fatalf("%d ordered of %d, packs of %d, at least %d", l.Order, l.Full, i.Pack, i.Minimum)
			}
		}
		if _, saved := spentAndSaved(Order(items, full+1e-6)); math.Abs(saved-most) > 1e-9 {
			t.Fatalf("enough money saves %v, no budget %v", saved, most)
		}
		if spent, _ := spentAndSaved(Order(items, 0)); spent != 0 {
			t.Fatalf("%v spent of nothing", spent)
		}
	})
}

// TestBudgetIsBest: where all packs cost the same, taking the best pack each time
// is best; every way to spend the budget is tried.
func TestBudgetIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := drawItems(t)[:1]
		items = append(items, drawItem(t, "b"), drawItem(t, "c"))
		for k := range items {
			items[k].Rounding, items[k].UnitCost = Rounding{}, 1
		}
		full := Order(items, math.Inf(1))
		budget := float64(rapid.IntRange(0, 12).Draw(t, "budget"))
		_, got := spentAndSaved(Order(items, budget))
		best := 0.0
		var try func(k int, left, saved float64)
		try = func(k int, left, saved float64) {
			if k == len(items) {
				best = max(best, saved)
				return
			}
			i := &items[k]
			for n := 0; n <= full[k].Full && float64(n) <= left; n++ {
				try(k+1, left-float64(n), saved+i.Protect.Short(i.Position())-i.Protect.Short(i.Position()+n))
			}
		}
		try(0, budget, 0)
		if math.Abs(got-best) > 1e-9 {
			t.Fatalf("%v pieces saved, best %v", got, best)
		}
	})
}

// TestOrderWithoutPrices: a part without a price is ordered where money is no
// object, and named where it is.
func TestOrderWithoutPrices(t *testing.T) {
	items := []Item{{Part: "a", Service: 0.95, Protect: Certain(2), Cover: Certain(4)}, {Part: "b", Service: 0.95, Protect: Certain(0), Cover: Certain(0)}}
	if l := Order(items, math.Inf(1)); l[0].Order != 4 || l[0].NoPrice || l[1].Order != 0 {
		t.Errorf("without a budget: %+v", l)
	}
	if l := Order(items, 100); l[0].Order != 0 || !l[0].NoPrice || l[0].Full != 4 || l[1].NoPrice {
		t.Errorf("with a budget: %+v", l)
	}
}

// TestOrderByPolicy: a policy's order brings the stock to the reorder point and not
// beyond its level, as far as packs and the least order let it.
func TestOrderByPolicy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := drawItem(t, "part")
		pack := max(1, i.Pack)
		p := Policy{ReorderPoint: rapid.IntRange(0, 8).Draw(t, "reorder point")}
		p.OrderUpTo = p.ReorderPoint - 1 + pack*rapid.IntRange(1, 4).Draw(t, "packs")
		i.Policy = &p
		l := NewOrderLine(&i)
		after := i.Position() + l.Order
		switch {
		case l.Policy != p:
			t.Fatalf("policy %+v became %+v", p, l.Policy)
		case i.Position() >= p.ReorderPoint && l.Order != 0:
			t.Fatalf("%d ordered with %d there, below %d", l.Order, i.Position(), p.ReorderPoint)
		case i.Position() >= p.ReorderPoint:
		case l.Order%pack != 0 || l.Order < max(1, i.Minimum):
			t.Fatalf("%d ordered in packs of %d, at least %d", l.Order, pack, i.Minimum)
		case after < p.ReorderPoint:
			t.Fatalf("%d after ordering, still below %d", after, p.ReorderPoint)
		case after > p.OrderUpTo && l.Order > i.Up(1):
			t.Fatalf("%d after ordering %d, beyond %d", after, l.Order, p.OrderUpTo)
		}
	})
}

// TestLeadTimeWithin: cut tails keep the chances' sum and move the mean little.
func TestLeadTimeWithin(t *testing.T) {
	for _, sd := range []float64{0, 1, 4, 12} {
		whole := NewLeadTime(9, sd)
		for _, tail := range []float64{0, 1e-6, 1e-3} {
			short := whole.Within(tail)
			first := slices.IndexFunc(short, func(p float64) bool { return p > 0 })
			var before, beyond float64
			for n, p := range whole {
				if n < first {
					before += p
				}
				if n >= len(short) {
					beyond += p
				}
			}
			if before > tail || beyond > tail || before+whole[first] <= tail || beyond+whole[len(short)-1] <= tail && len(short) > first+1 {
				t.Errorf("deviation %v: %g and %g are cut off at %g", sd, before, beyond, tail)
			}
			near(t, "mean", short.Mean(), whole.Mean(), 60*tail+1e-9)
			near(t, "sum", short.CDF(len(short)), 1, 1e-9)
		}
	}
	if one := Certain(0).Within(1); len(one) != 1 || one[0] != 1 {
		t.Errorf("no lead time became %v", one)
	}
}
