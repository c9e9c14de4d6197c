package stock

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// bookDay is when the invented shop of these tests begins its books.
var bookDay = time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)

// moved returns a movement of the given hour; n orders those of one hour.
func moved(n, hour int, kind MovementKind, qty float64, places ...string) Movement {
	m := Movement{At: bookDay.Add(time.Duration(hour) * time.Hour), ID: fmt.Sprintf("%04d", n), Kind: kind, Part: "nozzle", Qty: qty, By: "kim"}
	if len(places) > 0 {
		m.Place = places[0]
	}
	if len(places) > 1 {
		m.To = places[1]
	}
	return m
}

// booksText is what the books say of the nozzle, in short: what is on hand at
// each place with the differences of its counts, and the open orders.
func booksText(b *Books) string {
	var out []string
	p := b.Part("nozzle")
	for _, at := range p.Places {
		text := fmt.Sprintf("%s %g", at.Place, at.OnHand)
		for _, c := range at.Counts {
			if c.Said == nil {
				text += " first"
			} else {
				text += fmt.Sprintf(" %+g", c.Difference())
			}
		}
		out = append(out, text)
	}
	for _, o := range p.Orders {
		out = append(out, fmt.Sprintf("on order %g since %g h", o.Qty, o.At.Sub(bookDay).Hours()))
	}
	return strings.Join(out, "; ")
}

func TestFold(t *testing.T) {
	for _, c := range []struct {
		name  string
		moves []Movement
		want  string
	}{
		{"nothing", nil, ""},
		{"what was used before the books began draws nothing", []Movement{moved(1, 1, Used, 3), moved(2, 2, Counted, 6), moved(3, 3, Used, 2)}, "shelf 4 first"},
		{"only used: no books", []Movement{moved(1, 1, Used, 3), moved(2, 2, Used, 2, "truck-1")}, ""},
		{"a count that disagrees", []Movement{moved(1, 1, Counted, 6), moved(2, 2, Used, 1), moved(3, 3, Counted, 4), moved(4, 4, Used, 1)}, "shelf 3 first -1"},
		{"more than the books said", []Movement{moved(1, 1, Counted, 6), moved(2, 2, Counted, 9)}, "shelf 9 first +3"},
		{"a count that agrees", []Movement{moved(1, 1, Counted, 6), moved(2, 2, Counted, 6)}, "shelf 6 first +0"},
		{"below zero", []Movement{moved(1, 1, Counted, 1), moved(2, 2, Used, 3)}, "shelf -2 first"},
		{"put back", []Movement{moved(1, 1, Counted, 5), moved(2, 2, Used, 3), moved(3, 3, Used, -1)}, "shelf 3 first"},
		{"each place has its own", []Movement{moved(1, 1, Counted, 5), moved(2, 1, Counted, 2, "truck-1"), moved(3, 3, Used, 1, "truck-1"), moved(4, 3, Used, 1, "truck-2")}, "shelf 5 first; truck-1 1 first"},
		{"moved", []Movement{moved(1, 1, Counted, 5), moved(2, 2, Moved, 2, "shelf", "truck-1"), moved(3, 3, Used, 1, "truck-1")}, "shelf 3 first; truck-1 1"},
		{"moved from where no books are", []Movement{moved(2, 2, Moved, 2, "shelf", "truck-1")}, "truck-1 2"},
		{"moved in, then counted", []Movement{moved(1, 1, Moved, 2, "shelf", "truck-1"), moved(2, 2, Counted, 3, "truck-1")}, "truck-1 3 +1"},
		{"books begin with what comes in", []Movement{moved(1, 1, Used, 9), moved(2, 2, Received, 4), moved(3, 3, Used, 1)}, "shelf 3"},
		{"sent back before books began", []Movement{moved(1, 1, Received, -4), moved(2, 3, Used, 1)}, ""},
		{"parts of a piece", []Movement{moved(1, 1, Counted, 0.3), moved(2, 2, Used, 0.1), moved(3, 3, Used, 0.2)}, "shelf 0 first"},
		{"a count of yesterday entered today", []Movement{moved(9, 3, Counted, 4), moved(1, 1, Counted, 6), moved(2, 2, Used, 1), moved(3, 4, Used, 1)}, "shelf 3 first -1"},
		{"a late use before a count moves its difference, not the stock", []Movement{moved(1, 1, Counted, 6), moved(3, 3, Counted, 5), moved(9, 2, Used, 1)}, "shelf 5 first +0"},

		{"ordered", []Movement{moved(1, 1, Ordered, 10)}, "on order 10 since 1 h"},
		{"came in against the oldest", []Movement{moved(1, 1, Ordered, 10), moved(2, 2, Ordered, 5), moved(3, 3, Received, 12)}, "shelf 12; on order 3 since 2 h"},
		{"cancelled: the newest", []Movement{moved(1, 1, Ordered, 10), moved(2, 2, Ordered, 5), moved(3, 3, Ordered, -7)}, "on order 8 since 1 h"},
		{"cancelled before it was ordered", []Movement{moved(1, 1, Ordered, -4), moved(2, 2, Ordered, 10)}, "on order 6 since 2 h"},
		{"more came than was ordered", []Movement{moved(1, 1, Ordered, 5), moved(2, 2, Received, 8), moved(3, 3, Ordered, 2)}, "shelf 8; on order 2 since 3 h"},
		{"a receipt put right", []Movement{moved(1, 1, Ordered, 10), moved(2, 2, Received, 12), moved(3, 3, Received, -4)}, "shelf 8; on order 2 since 1 h"},
		{"a receipt put right in part of an order", []Movement{moved(1, 1, Ordered, 10), moved(2, 2, Received, 6), moved(3, 3, Received, -1)}, "shelf 5; on order 5 since 1 h"},
		{"what was never ordered goes back to nobody", []Movement{moved(1, 1, Received, 10), moved(2, 2, Received, 5), moved(3, 3, Received, -8)}, "shelf 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := booksText(Fold(c.moves, nil)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			slices.Reverse(c.moves)
			if got := booksText(Fold(c.moves, nil)); got != c.want {
				t.Errorf("in reverse\ngot  %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestFoldWhole: everything that the books say of one part.
func TestFoldWhole(t *testing.T) {
	moves := []Movement{moved(1, 1, Counted, 5), moved(2, 2, Used, 1), moved(3, 3, Counted, 3), moved(4, 4, Received, 6), moved(5, 5, Used, 2), moved(6, 6, Used, 1, "truck-1"),
		moved(7, 7, Moved, 1, "shelf", "truck-1"), moved(8, 8, Used, 4, "truck-1"), moved(9, 9, Ordered, 4)}
	moves[3].Part, moves[4].Part = "nozzle-old", "nozzle-older"
	hour := func(h int) time.Time { return bookDay.Add(time.Duration(h) * time.Hour) }
	b := Fold(moves, func(part string) string {
		if strings.HasPrefix(part, "nozzle") {
			return "nozzle"
		}
		return part
	})
	want := PartBook{Part: "nozzle", Places: []PlaceBook{
		{Place: Shelf, OnHand: 6, Since: hour(1), Counts: []Count{{ID: "0001", At: hour(1), By: "kim", Qty: 5}, {ID: "0003", At: hour(3), By: "kim", Qty: 3, Said: new(4.0)}}, In: 6, Out: 3},
		{Place: "truck-1", OnHand: -3, Since: hour(7), In: 1, Out: 4}},
		Orders: []OpenOrder{{At: hour(9), By: "kim", Qty: 4}}}
	got := b.Part("nozzle")
	if d := cmp.Diff(want, got, cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".orders" || p.Last().String() == ".begun" }, cmp.Ignore())); d != "" {
		t.Error("books (-want +got):\n", d)
	}
	if n, ok := got.OnHand(); n != 3 || !ok {
		t.Errorf("%g on hand, %v", n, ok)
	}
	if n := got.Owed(); n != 3 {
		t.Errorf("%g owed", n)
	}
	if n := got.OnOrder(); n != 4 {
		t.Errorf("%g on order", n)
	}
	if d := cmp.Diff([]string{"shelf", "truck-1"}, b.Places()); d != "" {
		t.Error("places:\n", d)
	}
	if d := cmp.Diff([]string{"nozzle"}, b.Parts()); d != "" {
		t.Error("parts:\n", d)
	}
	none := b.Part("nozzle-old")
	if n, ok := none.OnHand(); n != 0 || ok || none.OnOrder() != 0 {
		t.Error("an old number has books of its own")
	}
}

// anyMovements draws whole pieces of two parts at a few places, with ties.
func anyMovements(t *rapid.T, most int) []Movement {
	var moves []Movement
	for n := range rapid.IntRange(0, most).Draw(t, "movements") {
		m := moved(n, rapid.IntRange(0, 10).Draw(t, "hour"), rapid.SampledFrom([]MovementKind{Counted, Received, Used, Used, Moved, Ordered}).Draw(t, "kind"), 0)
		m.Part = rapid.SampledFrom([]string{"nozzle", "nozzle-old", "pump"}).Draw(t, "part")
		places := []string{"", Shelf, "truck-1", "truck-2"}
		m.Place = rapid.SampledFrom(places).Draw(t, "place")
		qty := rapid.IntRange(-6, 9)
		switch m.Kind {
		case Counted:
			qty = rapid.IntRange(0, 9)
		case Moved:
			qty = rapid.IntRange(1, 6)
			m.To = rapid.SampledFrom([]string{Shelf, "truck-1", "truck-2"}).Draw(t, "to")
			if m.To == m.Place || m.To == Shelf && m.Place == "" {
				continue
			}
		}
		m.Qty = float64(qty.Draw(t, "qty"))
		if m.Kind == Used && rapid.Bool().Draw(t, "on a job") {
			m.Job, m.Family, m.Stretch = rapid.SampledFrom([]string{"1", "2"}).Draw(t, "job"), "oil", rapid.IntRange(1, 2).Draw(t, "stretch")
		}
		moves = append(moves, m)
	}
	return moves
}

func oldNozzle(part string) string {
	if part == "nozzle-old" {
		return "nozzle"
	}
	return part
}

// plainAt is what the books say of a part at a place just after the first n
// movements of a list in order, said by looking back: for the last count, for
// the beginning, and adding up from there. False where no books have begun.
func plainAt(list []Movement, n int, part, place string) (float64, bool) {
	effect := func(m Movement) (float64, bool) { // and whether it can begin books
		from := m.Place
		if from == "" {
			from = Shelf
		}
		switch {
		case oldNozzle(m.Part) != part:
		case m.Kind == Moved && m.To == place:
			return m.Qty, true
		case from != place:
		case m.Kind == Received:
			return m.Qty, m.Qty > 0
		case m.Kind == Used, m.Kind == Moved:
			return -m.Qty, false
		}
		return 0, false
	}
	isCount := func(m Movement) bool {
		return m.Kind == Counted && oldNozzle(m.Part) == part && (m.Place == place || m.Place == "" && place == Shelf)
	}
	sum := 0.0
	for i := n - 1; i >= 0; i-- {
		if isCount(list[i]) {
			return list[i].Qty + sum, true
		}
		by, _ := effect(list[i])
		sum += by
	}
	for i := range n { // no count: from the first movement that begins books
		if _, begins := effect(list[i]); begins {
			sum = 0
			for _, m := range list[i:n] {
				by, _ := effect(m)
				sum += by
			}
			return sum, true
		}
	}
	return 0, false
}

// plainOrders returns when each piece on order was ordered. It keeps every piece
// for itself, also of those that came in whether it had been ordered.
func plainOrders(list []Movement, part string) []time.Time {
	type piece struct {
		ordered time.Time // zero when nobody had ordered it
		receipt int
	}
	var due []time.Time // oldest first
	var came []piece    // newest last
	ahead, receipt := 0, 0
	for _, m := range list {
		if oldNozzle(m.Part) != part {
			continue
		}
		n := int(m.Qty)
		switch {
		case m.Kind == Ordered && n > 0:
			for range n {
				if ahead > 0 {
					ahead--
				} else {
					due = append(due, m.At)
				}
			}
		case m.Kind == Ordered:
			for range -n {
				if len(due) > 0 {
					due = due[:len(due)-1]
				} else {
					ahead++
				}
			}
		case m.Kind == Received && n >= 0:
			receipt++
			for range n {
				if len(due) > 0 {
					came = append(came, piece{due[0], receipt})
					due = due[1:]
				} else {
					came = append(came, piece{time.Time{}, receipt})
				}
			}
		case m.Kind == Received:
			for range -n {
				// First what came in beyond the orders with the last receipt, then
				// what had been ordered.
				at := slices.IndexFunc(came, func(p piece) bool { return p.ordered.IsZero() && p.receipt == receipt })
				if at < 0 {
					for i := range came {
						if !came[i].ordered.IsZero() {
							at = i
						}
					}
					if at < 0 {
						continue
					}
					due = append([]time.Time{came[at].ordered}, due...)
				}
				came = slices.Delete(came, at, at+1)
			}
		}
	}
	return due
}

// TestFoldAgainstPlain compares the books with the same said by looking back,
// whatever the order of arrival.
func TestFoldAgainstPlain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		moves := anyMovements(t, 40)
		list := InOrder(moves)
		books := Fold(rapid.Permutation(moves).Draw(t, "arrival"), oldNozzle)
		for _, part := range []string{"nozzle", "pump"} {
			p := books.Part(part)
			for _, place := range []string{Shelf, "truck-1", "truck-2"} {
				want, begun := plainAt(list, len(list), part, place)
				at := p.At(place)
				if (at != nil) != begun || begun && at.OnHand != want {
					t.Fatalf("%s at %s: %+v; plain: %g, %v", part, place, at, want, begun)
				}
				if at == nil {
					continue
				}
				k := 0
				for n, m := range list {
					if m.Kind != Counted || oldNozzle(m.Part) != part || m.Place != place && (m.Place != "" || place != Shelf) {
						continue
					}
					c := at.Counts[k]
					said, there := plainAt(list, n, part, place)
					if (c.Said != nil) != there || there && *c.Said != said || c.Qty != m.Qty {
						t.Fatalf("%s at %s: count %d is %+v; the plain books said %g, %v", part, place, k, c, said, there)
					}
					k++
				}
				if k != len(at.Counts) {
					t.Fatalf("%d counts, want %d", len(at.Counts), k)
				}
				last := 0.0
				if c := at.LastCount(); c != nil {
					last = c.Qty
				}
				if at.OnHand != last+at.In-at.Out {
					t.Fatalf("%s at %s: %+v does not add up", part, place, at)
				}
			}
			if got, want := p.OnOrder(), float64(len(plainOrders(list, part))); got != want {
				t.Fatalf("%g of %s on order, plain %g", got, part, want)
			}
			for _, o := range p.Orders {
				if o.Qty <= 0 {
					t.Fatalf("open orders %+v", p.Orders)
				}
			}
		}
	})
}

// TestPiecesAreKept: what was received, taken, moved and counted adds up over
// all places: nothing comes from nowhere but by a count.
func TestPiecesAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var moves []Movement
		for n, place := range []string{Shelf, "truck-1", "truck-2"} {
			moves = append(moves, moved(n, -1, Counted, 50, place)) // all books have begun
		}
		later := anyMovements(t, 30)
		for i := range later {
			later[i].Part, later[i].ID = "nozzle", "x"+later[i].ID
		}
		books := Fold(append(moves, later...), nil)
		p := books.Part("nozzle")
		want := 150.0
		for _, m := range later {
			switch m.Kind {
			case Received:
				want += m.Qty
			case Used:
				want -= m.Qty
			}
		}
		for _, at := range p.Places {
			for _, c := range at.Counts {
				want += c.Difference()
			}
		}
		if got, _ := p.OnHand(); got != want {
			t.Fatalf("%g on hand, and %g were accounted for", got, want)
		}
	})
}

// TestVisits: each use once.
func TestVisits(t *testing.T) {
	job := func(m Movement, job string, stretch int) Movement {
		m.Job, m.Stretch, m.Family = job, stretch, "oil"
		return m
	}
	old := func(m Movement) Movement { m.Part = "nozzle-old"; return m }
	for _, c := range []struct {
		name  string
		moves []Movement
		want  string
	}{
		{"alone", []Movement{moved(1, 1, Used, 2), moved(2, 2, Used, 3)}, "2@1 3@2"},
		{"a job takes at two places", []Movement{job(moved(1, 1, Used, 2), "1", 1), job(moved(2, 3, Used, 1, "truck-1"), "1", 1)}, "3@1/1"},
		{"under two numbers", []Movement{job(moved(1, 1, Used, 2), "1", 1), job(old(moved(2, 3, Used, 1)), "1", 1)}, "3@1/1"},
		{"a job opened again", []Movement{job(moved(1, 1, Used, 2), "1", 1), job(moved(2, 3, Used, 1), "1", 2)}, "2@1/1 1@3/1"},
		{"put back on the job", []Movement{job(moved(1, 1, Used, 2), "1", 1), job(moved(2, 3, Used, -2), "1", 1)}, ""},
		{"put back", []Movement{moved(1, 1, Used, 2), moved(2, 2, Used, 3), moved(3, 3, Used, -4)}, "1@1"},
		{"more put back than taken", []Movement{moved(1, 1, Used, 2), moved(3, 3, Used, -4), moved(4, 4, Used, 1)}, "1@4"},
		{"nothing used", []Movement{moved(1, 1, Used, 0)}, ""},
		{"other movements", []Movement{moved(1, 1, Counted, 2), moved(2, 1, Received, 2), moved(3, 1, Ordered, 2), moved(4, 1, Moved, 2, Shelf, "truck-1")}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			slices.Reverse(c.moves)
			var got []string
			for _, v := range Visits(c.moves, oldNozzle) {
				text := fmt.Sprintf("%g@%g", v.Pieces, v.At.Sub(bookDay).Hours())
				if v.Job != "" {
					text += "/" + v.Job
				}
				got = append(got, text)
			}
			if strings.Join(got, " ") != c.want {
				t.Errorf("got %v, want %s", got, c.want)
			}
		})
	}
}

func TestPlaces(t *testing.T) {
	for name, valid := range map[string]bool{"shelf": true, "truck-1": true, "1": true, "": false, "Truck": false, "truck 1": false, "truck_1": false, "-a": false, "a--b": false, "é": false, strings.Repeat("a", 41): false} {
		if ValidPlace(name) != valid {
			t.Errorf("%q: valid %v, want %v", name, !valid, valid)
		}
	}
	for name, want := range map[string]string{"Truck 1": "truck-1", "TRUCK_2 ": "truck-2", "--": "", "Bay/3": "bay-3", "é 1": "1"} {
		if got := PlaceLike(name); got != want || want != "" && !ValidPlace(got) {
			t.Errorf("%q is like %q, want %q", name, got, want)
		}
	}
	list := []string{"truck-10", "truck", "attic", "shelf", "truck-2", "truck-2-a", "truck-a", "truck-02"}
	slices.SortFunc(list, ComparePlaces)
	if d := cmp.Diff([]string{"shelf", "attic", "truck", "truck-02", "truck-2", "truck-2-a", "truck-10", "truck-a"}, list); d != "" {
		t.Error("order of places:\n", d)
	}
}

// BenchmarkFold100000 folds 100,000 movements of 500 parts.
func BenchmarkFold100000(b *testing.B) {
	var moves []Movement
	for n := range 100_000 {
		m := moved(n, n/10, []MovementKind{Counted, Used, Received, Used, Used, Moved, Ordered, Used}[n/500%8], float64(n%5+1), Shelf, "truck-1")
		m.Part = fmt.Sprint("part-", n*31%500)
		moves = append(moves, m)
	}
	b.ReportAllocs()
	for b.Loop() {
		if len(Fold(moves, oldNozzle).Parts()) != 500 {
			b.Fatal("not all parts")
		}
	}
}
