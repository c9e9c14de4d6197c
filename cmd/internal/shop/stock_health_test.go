package shop

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"sootsayer/data"
	"sootsayer/kb/stock"
)

// TestHealthDemo: a shop that counted its shelf two years ago and took parts from
// it since.
func TestHealthDemo(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	counted := data.DemoDay().AddDate(-2, 0, 0)
	lines, err := s.Count(stock.Shelf, counted, []Pieces{{"fuel-filter-used-oil", 10}, {"heat-exchanger", 2}, {"igniter-electronic", 40}, {"flame-eye", 1}})
	record(t, lines, err)
	h, err := s.Health(demandOf(t, s, DemandOptions{}), UsualOrder())
	if err != nil {
		t.Fatal(err)
	}
	if len(h.Parts) != 4 || h.Uncounted != len(s.base.IDs("parts"))-4 || math.Abs(h.Days-365.25) > 0.01 || h.NoPrice != 0 {
		t.Fatalf("%+v", h)
	}
	of := make(map[string]PartHealth)
	var value, dead, over float64
	for _, p := range h.Parts {
		of[p.Part] = p
		value += *p.Value
		part, _ := s.base.Part(p.Part)
		over += p.Over * part.UnitCost
		if p.Dead {
			dead += *p.Value
		}
	}
	if math.Abs(value-h.Value) > 1e-6 || math.Abs(dead-h.Dead) > 1e-6 || math.Abs(over-h.Over) > 1e-6 {
		t.Errorf("sums %v %v %v; %+v", value, dead, over, h)
	}
	if p := of["heat-exchanger"]; !p.Dead || p.Over < 1 || p.LastUse != nil || *p.Was.Ready != 1 || p.Was.Fill != nil || *p.Turns != 0 {
		t.Errorf("heat exchanger %+v", p)
	}
	if p := of["igniter-electronic"]; p.Dead || p.Over < 20 || p.LastUse == nil || p.Cover == nil || *p.Cover < 365 {
		t.Errorf("igniter %+v", p)
	}
	if p := of["fuel-filter-used-oil"]; p.OnHand >= 0 || *p.Value != 0 || !(*p.Was.Ready < 1) || p.LastYear < 3 || p.Expected < 3 {
		t.Errorf("filter %+v", p)
	}
	for name, x := range map[string]*float64{"ready as it was": h.Was.Ready, "ready predicted": h.Will.Ready, "fill predicted": h.Will.Fill, "fill as it was": h.Was.Fill} {
		if x == nil || *x < 0 || *x > 1 {
			t.Errorf("%s: %v", name, x)
		}
	}
	if *h.Will.Fill < 0.9 || *h.Was.Ready > 0.9 {
		t.Errorf("served %v, will serve %v", *h.Was.Ready, *h.Will.Fill)
	}
	if _, err := json.Marshal(h); err != nil {
		t.Error(err)
	}
}

// TestStockScoreDemo: the last year of the invented shop is forecast from what was
// before it, and every number can be written.
func TestStockScoreDemo(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	score, err := s.StockScore(demandOf(t, s, DemandOptions{}))
	if err != nil {
		t.Fatal(err)
	}
	if score.From != "2025-06" || score.To != "2026-05" || score.Months != 34 {
		t.Errorf("%s to %s of %d months", score.From, score.To, score.Months)
	}
	var chosen, knowledge *stock.Score
	for i := range score.Scores {
		switch x := &score.Scores[i]; x.Method {
		case stock.Chosen:
			chosen = x
		case "knowledge":
			knowledge = x
		}
	}
	if chosen == nil || knowledge == nil || chosen.Forecasts < 12*60 || chosen.Coverage["0.9"] < 0.88 || chosen.Pinball["mean"] > 0.2 {
		t.Fatalf("chosen %+v, knowledge %+v", chosen, knowledge)
	}
	if _, err := json.Marshal(score); err != nil {
		t.Error(err)
	}
}

// TestStockScoreKnowsNothingLater: what was used after the first origin does not
// change what is forecast there.
func TestStockScoreKnowsNothingLater(t *testing.T) {
	at := func(m string) time.Time {
		day, err := time.Parse("2006-01", m)
		if err != nil {
			t.Fatal(err)
		}
		return day
	}
	first := stock.MonthOf(at("2025-06"))
	whole, early := demoShop(t, data.DemoDay()), demoShop(t, at("2025-06"))
	a, err := demandOf(t, whole, DemandOptions{}).knewBefore(first)
	if err != nil {
		t.Fatal(err)
	}
	e := demandOf(t, early, DemandOptions{})
	b, err := e.knewBefore(first)
	if err != nil {
		t.Fatal(err)
	}
	if e.Last >= first {
		t.Fatalf("the early shop knows up to %v", e.Last)
	}
	spans := stock.WholeMonths(first, 3)
	for _, part := range []string{"flame-eye", "heat-exchanger", "fuel-filter-used-oil"} {
		x, ok := a(part)
		y, too := b(part)
		if !ok || !too {
			t.Fatalf("%s: nothing is known", part)
		}
		if p, q := x.Begin().Ahead(spans, nil).Mean(), y.Begin().Ahead(spans, nil).Mean(); math.Abs(p-q) > 1e-12 || p <= 0 {
			t.Errorf("%s: %v with what came later, %v without", part, p, q)
		}
	}
}
