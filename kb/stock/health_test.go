package stock

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestPastsByHour holds what is said of the past against looking at the books
// every hour.
func TestPastsByHour(t *testing.T) {
	now := time.Date(2026, time.June, 1, 0, 0, 0, 0, time.UTC)
	rapid.Check(t, func(t *rapid.T) {
		hours := rapid.SampledFrom([]int{48, 24 * 10, 24 * 20}).Draw(t, "hours ago")
		var moves []Movement
		for i := range rapid.IntRange(1, 12).Draw(t, "movements") {
			m := Movement{ID: fmt.Sprintf("%02d", i), Part: "part", At: now.Add(-time.Duration(rapid.IntRange(0, hours).Draw(t, "at")) * time.Hour)}
			m.Kind = rapid.SampledFrom([]MovementKind{Counted, Received, Used, Used, Used, Moved, Ordered}).Draw(t, "kind")
			m.Place = rapid.SampledFrom([]string{"", "truck-1"}).Draw(t, "place")
			m.To = "truck-2"
			m.Qty = float64(rapid.IntRange(0, 3).Draw(t, "qty"))
			if m.Kind == Ordered {
				m.Place = ""
			}
			moves = append(moves, m)
		}
		got, told := Pasts(moves, nil, now)["part"]
		if !told {
			t.Fatal("nothing is said of the part")
		}
		from := now.Add(-time.Duration(yearDays * 24 * float64(time.Hour)))
		var days, ready, pieceDays, lastYear, used, served float64
		upTo := func(at time.Time) []Movement {
			var list []Movement
			for _, m := range moves {
				if !m.At.After(at) {
					list = append(list, m)
				}
			}
			return list
		}
		for h := range int(yearDays * 24) {
			at := from.Add(time.Duration(h) * time.Hour)
			if now.Sub(at).Hours() > float64(hours) {
				continue // before the first of them
			}
			book := Fold(upTo(at), nil).Part("part")
			if onHand, began := book.OnHand(); began {
				days += 1. / 24
				if onHand > 0 {
					ready += 1. / 24
					pieceDays += onHand / 24
				}
			}
		}
		for i, m := range InOrder(moves) {
			if m.Kind != Used || m.At.Before(from) {
				continue
			}
			lastYear += m.Qty
			book := Fold(InOrder(moves)[:i], nil).Part("part")
			place := m.Place
			if place == "" {
				place = Shelf
			}
			if at := book.At(place); at != nil {
				used += m.Qty
				served += min(m.Qty, max(0, at.OnHand))
			}
		}
		near := func(what string, got, want, tolerance float64) {
			if math.Abs(got-want) > tolerance {
				t.Fatalf("%s: %v, by hand %v", what, got, want)
			}
		}
		near("days", got.Days, days, 0.1)
		near("last year", got.LastYear, lastYear, 1e-9)
		near("used", got.Used, used, 1e-9)
		if days > 2 {
			near("ready", got.Ready, ready/days, 0.1/days)
			near("average", got.Average, pieceDays/days, 1/days)
		}
		if used > 0 {
			near("fill", got.Fill, served/used, 1e-9)
		} else if !math.IsNaN(got.Fill) {
			t.Fatalf("fill %v of nothing", got.Fill)
		}
	})
}

// TestPastsByHand: ten pieces for 100 days, of which four are used after 50 and
// eight after 90, two of them never seen to come in; then twenty come.
func TestPastsByHand(t *testing.T) {
	now := time.Date(2026, time.June, 1, 0, 0, 0, 0, time.UTC)
	ago := func(days int) time.Time { return now.Add(-time.Duration(days) * 24 * time.Hour) }
	moves := []Movement{
		{At: ago(200), ID: "1", Kind: Used, Part: "old", Qty: 3}, // before the books: history
		{At: ago(100), ID: "2", Kind: Counted, Part: "old", Qty: 10},
		{At: ago(50), ID: "3", Kind: Used, Part: "new", Qty: 4, Job: "1"},
		{At: ago(10), ID: "4", Kind: Used, Part: "old", Qty: 8, Job: "2"},
		{At: ago(5), ID: "5", Kind: Received, Part: "new", Qty: 20},
	}
	today := func(string) string { return "new" }
	p := Pasts(moves, today, now)["new"]
	near(t, "days", p.Days, 100, 1e-9)
	near(t, "ready", p.Ready, 0.95, 1e-9) // below zero for five days
	near(t, "used", p.Used, 12, 0)
	near(t, "fill", p.Fill, 10./12, 1e-12)
	near(t, "average", p.Average, (50*10+40*6+5*18)/100., 1e-9)
	near(t, "last year", p.LastYear, 15, 0)
	if !p.LastUse.Equal(ago(10)) {
		t.Errorf("last used %v", p.LastUse)
	}
}

// TestPastsOfAYear: what happened before the last year counts no days.
func TestPastsOfAYear(t *testing.T) {
	now := time.Date(2026, time.June, 1, 0, 0, 0, 0, time.UTC)
	ago := func(days int) time.Time { return now.Add(-time.Duration(days) * 24 * time.Hour) }
	moves := []Movement{{At: ago(500), ID: "1", Kind: Counted, Part: "part", Qty: 10}, {At: ago(450), ID: "2", Kind: Used, Part: "part", Qty: 10},
		{At: ago(100), ID: "3", Kind: Received, Part: "part", Qty: 5}, {At: now.Add(time.Hour), ID: "4", Kind: Used, Part: "part", Qty: 5}}
	p := Pasts(moves, nil, now)["part"]
	near(t, "days", p.Days, yearDays, 1e-9)
	near(t, "ready", p.Ready, 100/yearDays, 1e-9)
	near(t, "average", p.Average, 500/yearDays, 1e-9)
	near(t, "last year", p.LastYear, 0, 0)
	if !p.LastUse.Equal(ago(450)) || !math.IsNaN(p.Fill) {
		t.Errorf("last used %v, fill %v", p.LastUse, p.Fill)
	}
}

// TestCondition: dead, too much, turns and cover of worked examples.
func TestCondition(t *testing.T) {
	never := Distribution{0.9, 0.1}
	i := Item{Part: "part", Protect: Distribution{0.99, 0.01}, Cover: Distribution{0.97, 0.03}, Service: 0.95}
	l := NewOrderLine(&i)
	past := Past{Days: 400, Average: 3, Fill: math.NaN()}
	c := NewCondition("part", 3, past, true, never, Certain(1), &i, l.Policy)
	if !c.Dead || c.Over != 2 || c.Turns != 0 || math.Abs(c.DaysOfCover-30*yearDays) > 1e-9 {
		t.Errorf("three pieces of a part that hardly anybody wants: %+v", c)
	}
	if c := NewCondition("part", 3, past, false, never, Certain(1), &i, l.Policy); c.Dead {
		t.Error("dead, though nobody watched for a year")
	}
	used := past
	used.LastYear, used.Used, used.Fill = 6, 6, 1
	if c := NewCondition("part", 3, used, true, Poisson(6), Certain(1), &i, l.Policy); c.Dead || c.Over != 0 || math.Abs(c.Turns-2*yearDays/400) > 1e-9 || math.Abs(c.DaysOfCover-yearDays/2) > 1e-9 {
		t.Errorf("six used a year: %+v", c)
	}
	critical := i
	critical.Service = 0.999
	if c := NewCondition("part", 1, past, true, never, Certain(1), &critical, NewOrderLine(&critical).Policy); c.Dead || c.Will.Cycle < 0.999 {
		t.Errorf("one piece that the policy would keep: %+v", c)
	}
	if c := NewCondition("part", -2, Past{}, true, Certain(0), Certain(1), &i, l.Policy); c.Dead || c.Over != 0 || !math.IsInf(c.DaysOfCover, 1) || !math.IsNaN(c.Turns) {
		t.Errorf("books below zero: %+v", c)
	}
}
