package stock

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func drawNeeds(t *rapid.T, parts int) *Needs {
	c := newCollected()
	var all float64
	for range rapid.IntRange(1, 7).Draw(t, "needs") {
		var takes []Take
		for i := range parts {
			if n := rapid.IntRange(-3, 2).Draw(t, "pieces"); n > 0 {
				takes = append(takes, Take{i, n})
			}
		}
		w := rapid.Float64Range(0.01, 1).Draw(t, "weight")
		all += w
		c.add(takes, w)
	}
	n := &Needs{Jobs: c.needs}
	for i := range n.Jobs {
		n.Jobs[i].Weight *= 0.9 / all
	}
	return n
}

// TestBring holds what is loaded to what it promises, by trying everything that
// could be loaded.
func TestBring(t *testing.T) {
	extra, rounds := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		const parts = 4
		n := drawNeeds(t, parts)
		truck := rapid.SliceOfN(rapid.IntRange(0, 2), parts, parts).Draw(t, "truck")
		shelf := rapid.SliceOfN(rapid.IntRange(0, 3), parts, parts).Draw(t, "shelf")
		share := rapid.SampledFrom([]float64{0.5, 0.9, 0.95, 1}).Draw(t, "share")
		b := NewBring(n, n, truck, shelf, share)
		met := func(carry [parts]int) (sum float64) {
			for _, x := range n.Jobs {
				ok := true
				for _, take := range x.Takes {
					ok = ok && carry[take.Part] >= take.Pieces
				}
				if ok {
					sum += x.Weight
				}
			}
			return sum
		}
		var now, all, loaded [parts]int
		for i := range parts {
			now[i], all[i] = truck[i], truck[i]+shelf[i]
			loaded[i] = truck[i]
		}
		lines := 0
		for _, p := range b.Parts {
			loaded[p.Part] += p.Load
			if p.Load > 0 {
				lines++
			}
			if p.Load < 0 || p.Load > p.OnShelf || p.OnShelf != shelf[p.Part] || p.OnTruck != truck[p.Part] {
				t.Fatalf("%+v; truck %v, shelf %v", p, truck, shelf)
			}
			var chance float64
			for _, x := range n.Jobs {
				for _, take := range x.Takes {
					if take.Part == p.Part {
						chance += x.Weight
					}
				}
			}
			if math.Abs(chance-p.Probability) > 1e-9 {
				t.Fatalf("part %d is needed with %v, by hand %v", p.Part, p.Probability, chance)
			}
		}
		for name, x := range map[string][2]float64{"truck": {b.Truck, met(now)}, "loaded": {b.Loaded, met(loaded)}, "here": {b.Here, met(all)}, "anything": {b.Anything, n.Most()}} {
			if math.Abs(x[0]-x[1]) > 1e-9 {
				t.Fatalf("%s: %v, by hand %v", name, x[0], x[1])
			}
		}
		if b.Loaded < share*b.Here-1e-8 {
			t.Fatalf("%v loaded, wanted %v of %v", b.Loaded, share, b.Here)
		}
		fewest := parts
		var try func(i int, carry [parts]int, used int)
		try = func(i int, carry [parts]int, used int) {
			if i == parts {
				if met(carry) >= share*b.Here-1e-9 {
					fewest = min(fewest, used)
				}
				return
			}
			try(i+1, carry, used)
			carry[i] = all[i]
			try(i+1, carry, used+1)
		}
		try(0, now, 0)
		extra += lines - fewest
		rounds++
		if lines > fewest+1 {
			t.Fatalf("%d parts loaded, %d would do", lines, fewest)
		}
	})
	if float64(extra) > 0.03*float64(rounds) {
		t.Errorf("%d parts too many in %d jobs", extra, rounds)
	}
}

// TestBringRare: what is rare is loaded too when everything is asked for.
func TestBringRare(t *testing.T) {
	c := newCollected()
	const parts = 2000
	for i := range parts {
		c.add([]Take{{i, 1}}, 1./parts)
	}
	shelf := make([]int, parts)
	for i := range shelf {
		shelf[i] = 1
	}
	n := &Needs{Jobs: c.needs}
	if b := NewBring(n, n, make([]int, parts), shelf, 1); b.Loaded < 1-1e-9 || b.Truck != 0 {
		t.Errorf("%v loaded, %v on the truck", b.Loaded, b.Truck)
	}
}
