package shop

import (
	"math"
	"testing"

	"sootsayer/data"
	"sootsayer/kb/stock"
)

// TestTruckDemo: kits of the invented shop keep to their limit, finish more the
// more they may hold, and are held against what a truck carries.
func TestTruckDemo(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	d := demandOf(t, s, DemandOptions{})
	lines, err := s.Count("truck-1", data.DemoDay(), []Pieces{{"fuel-filter-used-oil", 1}, {"heat-exchanger", 1}, {"battery-aa", 1.5}})
	record(t, lines, err)
	last := 0.0
	for _, o := range []TruckOptions{{Money: 50, Jobs: 6}, {Money: 600, Jobs: 6, Place: "truck-1"}, {Money: 2000, Jobs: 6}} {
		k, err := s.Truck(d, o)
		if err != nil {
			t.Fatal(err)
		}
		var cost float64
		for _, p := range k.Parts {
			part, _ := s.base.Part(p.Part)
			cost += float64(p.Carry) * part.UnitCost
			if p.Carry > 0 && !(p.Adds > 0 && p.Wanted >= p.Adds) {
				t.Errorf("%s is carried for nothing: %+v", p.Part, p)
			}
		}
		if cost > o.Money || math.Abs(cost-k.Cost) > 1e-6 || k.Filled <= last || k.Filled <= k.NoParts || k.Filled > k.Bound || k.Bound > k.Most+1e-9 || k.Bound-k.Filled > 0.02 {
			t.Errorf("%+v: %v spent, %+v", o, cost, k)
		}
		if math.Abs(k.Most+k.Unlisted-1) > 1e-9 {
			t.Errorf("%v of calls have parts and %v are not listed", k.Most, k.Unlisted)
		}
		last = k.Filled
		if o.Place != "" {
			checkTruckNow(t, k)
		}
	}
	slots, err := s.Truck(d, TruckOptions{Slots: 15, Jobs: 1})
	if err != nil || slots.Cost > 15 || !slots.Slots || len(slots.Parts) < 10 {
		t.Errorf("fifteen slots: %+v, %v", slots, err)
	}
}

// checkTruckNow: one filter stays, the heat exchanger goes, a broken piece is none.
func checkTruckNow(t *testing.T, k *Truck) {
	t.Helper()
	now := make(map[string]TruckPart)
	for _, p := range k.Parts {
		if p.Now == nil || p.Change == nil || *p.Change != p.Carry-*p.Now {
			t.Fatalf("part %+v", p)
		}
		now[p.Part] = p
	}
	if p := now["heat-exchanger"]; *p.Now != 1 || *p.Change != -1 {
		t.Errorf("heat exchanger %+v", p)
	}
	if p := now["fuel-filter-used-oil"]; *p.Now != 1 || p.Carry < 2 {
		t.Errorf("filter %+v", p)
	}
	if p, ok := now["battery-aa"]; ok && *p.Now != 1 {
		t.Errorf("batteries %+v", p)
	}
	if *k.NowFilled <= k.NoParts || *k.NowFilled >= k.Filled || *k.NowCost < 1350 {
		t.Errorf("as it is it finishes %v for %v; the kit %v", *k.NowFilled, *k.NowCost, k.Filled)
	}
}

// TestTruckOfOneFamily: where one cause takes one part, the share of calls that a
// truck with it finishes is what the causes' shares say.
func TestTruckOfOneFamily(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	importText(t, s, "job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,causes,confidence,parts,minutes,callback_of\n"+
		"1,2024-12-03,2024-12-03,oil-furnace,,,no heat,,,,eye-sooted,1,,60,\n")
	d := demandOf(t, s, DemandOptions{})
	d.Families = d.Families[:1] // gas has a call rate of its own prior
	k, err := s.Truck(d, TruckOptions{Slots: 1, Jobs: 1})
	if err != nil {
		t.Fatal(err)
	}
	e, err := s.Engine("oil-furnace", "", false)
	if err != nil {
		t.Fatal(err)
	}
	b, err := e.Believe(nil)
	if err != nil {
		t.Fatal(err)
	}
	// With one nozzle those jobs are finished that take nothing else; the absorbent
	// of the water takes two pieces, half of the times.
	var want float64
	for _, set := range b.FixSets() {
		p := set.Probability
		if len(set.Fixes) == 0 {
			continue
		}
		for _, f := range set.Fixes {
			if e.Model().Fixes[f].ID == "remove-water" {
				p *= 0.5
			}
		}
		want += p
	}
	if len(k.Parts) != 1 || k.Parts[0].Part != "nozzle-085" || math.Abs(k.Filled-want) > 1e-9 {
		t.Errorf("%+v, by hand %v", k, want)
	}
}

func TestTruckOptions(t *testing.T) {
	for _, o := range []TruckOptions{{Jobs: 1}, {Money: 5, Slots: 5, Jobs: 1}, {Money: -5, Jobs: 1}, {Slots: -1, Jobs: 1}, {Money: math.NaN(), Jobs: 1},
		{Money: math.Inf(1), Jobs: 1}, {Money: 5}, {Money: 5, Jobs: 1000}} {
		if o.Check() == nil {
			t.Errorf("%+v is taken", o)
		}
	}
	for place, want := range map[string]bool{"truck-1": true, "truck": true, "van-2": true, stock.Shelf: false, "trucks": false, "garage": false} {
		if IsTruck(place) != want {
			t.Errorf("%s: %v", place, !want)
		}
	}
}
