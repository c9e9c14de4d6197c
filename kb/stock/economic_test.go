package stock

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// TestFractile: keeping a piece of 100 for a tenth of a year at a quarter of its
// price a year costs 2.5; against a trip of 47.5 it has to be not missed with
// a chance of 0.95 (newsvendor: shortage / (shortage + holding)).
func TestFractile(t *testing.T) {
	near(t, "fractile", Costs{Holding: 0.25, Trip: 47.5}.Fractile(100, 36.525), 0.95, 1e-12)
}

// TestEconomicIsCheapest tries every policy of whole packs.
func TestEconomicIsCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// One piece at a time, as the model has it; chances are log-concave then.
		mean := rapid.Float64Range(0.01, 4).Draw(t, "mean")
		i := Item{Part: "part", Protect: Poisson(mean), UnitCost: rapid.Float64Range(1, 500).Draw(t, "price")}
		i.Pack = rapid.IntRange(1, 4).Draw(t, "pack")
		days := rapid.Float64Range(5, 60).Draw(t, "days")
		yearly := mean / days * yearDays
		c := Costs{Holding: 0.25, Trip: rapid.Float64Range(5, 200).Draw(t, "trip"), Line: rapid.Float64Range(0, 5).Draw(t, "line")}
		other := Policy{2, 5}
		e := NewEconomic(&i, other, Certain(1), yearly, days, c)
		at := PaidOnce(i.Protect, c.Holding*i.UnitCost, c.Trip, yearly)
		byHand := func(reorder, quantity int) float64 { // order `quantity` when fewer than `reorder`
			var sum float64
			for y := reorder; y < reorder+quantity; y++ {
				sum += at(y)
			}
			return c.Line*yearly/float64(quantity) + sum/float64(quantity)
		}
		least := math.Inf(1)
		for r := 0; r <= 20; r++ {
			for packs := 1; packs <= 60; packs++ {
				least = min(least, byHand(r, packs*i.Pack))
			}
		}
		if e.Cost > least*(1+1e-9) || e.Cost < least*(1-1e-9) && e.OrderUpTo-e.ReorderPoint < 60*i.Pack {
			t.Fatalf("%+v costs %v a year, the cheapest by trying %v", e.Policy, e.Cost, least)
		}
		if want := byHand(2, i.Up(4)); math.Abs(e.OtherCost-want) > 1e-9*want {
			t.Fatalf("the other policy costs %v, by hand %v", e.OtherCost, want)
		}
	})
	i := Item{Part: "part", Protect: Certain(0), UnitCost: 10}
	if e := NewEconomic(&i, Policy{}, Certain(1), 0, 10, Costs{Holding: 0.25, Trip: 100, Line: 2}); e.Policy != (Policy{}) || e.Cost != 0 || e.Lasts != 1 {
		t.Errorf("a part nobody wants: %+v", e)
	}
}

// TestEconomicCostIsReal plays a shelf through many years: pieces are wanted at
// random, orders take their time, and each piece that finds nothing costs a trip.
func TestEconomicCostIsReal(t *testing.T) {
	const yearly, leadDays = 20.0, 30.0
	years := 40_000.0
	if testing.Short() {
		years = 8_000
	}
	i := Item{Part: "part", Protect: Poisson(yearly * leadDays / yearDays), UnitCost: 120}
	c := Costs{Holding: 0.25, Trip: 60, Line: 4}
	e := NewEconomic(&i, Policy{1, 1}, Certain(1), yearly, leadDays, c)
	rng := rand.New(rand.NewPCG(1, 2))
	play := func(p Policy) float64 {
		quantity := p.OrderUpTo - p.ReorderPoint + 1
		onHand, cost, now := p.OrderUpTo, 0.0, 0.0
		var due []float64
		for now < years {
			next := now + rng.ExpFloat64()/yearly
			for len(due) > 0 && due[0] <= next {
				cost += float64(max(0, onHand)) * (due[0] - now) * c.Holding * i.UnitCost
				onHand, now, due = onHand+quantity, due[0], due[1:]
			}
			cost += float64(max(0, onHand)) * (next - now) * c.Holding * i.UnitCost
			if now = next; onHand <= 0 {
				cost += c.Trip
			}
			onHand--
			if onHand+quantity*len(due) < p.ReorderPoint {
				due = append(due, now+leadDays/yearDays)
				cost += c.Line
			}
		}
		return cost / years
	}
	for name, x := range map[string]struct {
		policy Policy
		said   float64
	}{"the cheapest": {e.Policy, e.Cost}, "the other": {Policy{1, 1}, e.OtherCost}} {
		if got := play(x.policy); math.Abs(got/x.said-1) > 0.02 {
			t.Errorf("%s policy %+v costs %v a year when it is played, said was %v", name, x.policy, got, x.said)
		}
	}
	if e.Cost >= e.OtherCost {
		t.Errorf("the cheapest policy %+v costs %v, another %v", e.Policy, e.Cost, e.OtherCost)
	}
}

// TestMissedUses: a use that wants three pieces and finds two costs one trip, not
// one for each piece.
func TestMissedUses(t *testing.T) {
	lead, pieces := Distribution{0.5, 0.3, 0.2}, Distribution{0, 0.6, 0, 0.4}
	// With 3: all of 1 piece unless the lead time took 3, of 3 only when it took none.
	near(t, "missed with 3", missed(lead, pieces, 3), 1-(0.6+0.4*0.5), 1e-12)
	near(t, "missed with 0", missed(lead, pieces, 0), 1, 1e-12)
	for y := range 5 { // one piece a use: the chance that nothing is left
		near(t, "missed", missed(lead, Certain(1), y), 1-lead.CDF(y-1), 1e-12)
	}
}
