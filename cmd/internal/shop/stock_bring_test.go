package shop

import (
	"slices"
	"testing"

	"sootsayer/data"
	"sootsayer/kb"
)

// TestBringDemo: a job with a plugged nozzle takes one of several sizes; what is
// loaded is on the shelf, helps, and no caution is left out.
func TestBringDemo(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	j, err := s.OpenJob(Complaint{Words: "starts then locks out", Family: "oil-furnace"})
	if err != nil {
		t.Fatal(err)
	}
	j = recordAll(t, s, j, "chamber-clear=ok", "spark-look=ok", "nozzle-look=plugged")
	bring := func(place string) *Bringing {
		b, err := s.Bring(&j, BringOptions{Place: place, Share: 0.95})
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	empty := bring("")
	if empty.Counted || empty.FirstVisit != empty.Here || empty.Truck != empty.Here || empty.Anything < 0.6 || empty.Here > 0.3 {
		t.Errorf("nothing is here: %+v", empty)
	}
	lines, err := s.Count("shelf", data.DemoDay(), []Pieces{{"nozzle-085-80-hollow", 2}, {"nozzle-075-80-hollow", 1}, {"flame-eye", 4}, {"heat-exchanger", 1}})
	record(t, lines, err)
	lines, err = s.Count("truck-1", data.DemoDay(), []Pieces{{"nozzle-100-80-solid", 1}})
	record(t, lines, err)
	lines, err = s.Count("truck-2", data.DemoDay(), []Pieces{{"nozzle-065-80-hollow", 1}})
	record(t, lines, err)
	b := bring("truck-1")
	if !(b.Truck > empty.Truck && b.FirstVisit > b.Truck && b.Here >= b.FirstVisit && b.Anything > b.Here && b.FirstVisit >= 0.95*b.Here-1e-9) {
		t.Errorf("chances %+v", b)
	}
	of := make(map[string]BringPart)
	for i, p := range b.Parts {
		of[p.Part] = p
		if p.Load > p.OnShelf || p.Probability < leastBring && p.Load == 0 || i > 0 && p.Probability > b.Parts[i-1].Probability || len(p.For) == 0 {
			t.Errorf("part %+v", p)
		}
	}
	if p := of["nozzle-085-80-hollow"]; p.Load != 1 || p.Qty != 1 || p.OnShelf != 2 || p.For[0] != "replace-nozzle" || p.Probability < 0.2 {
		t.Errorf("nozzle %+v", p)
	}
	if p := of["nozzle-100-80-solid"]; p.Load != 0 || p.OnTruck != 1 {
		t.Errorf("nozzle on the truck %+v", p)
	}
	if p := of["nozzle-065-80-hollow"]; p.Load != 0 || p.OnShelf != 0 || !slices.Equal(p.Elsewhere, []string{"truck-2 1"}) {
		t.Errorf("nozzle on the other truck %+v", p)
	}
	if _, listed := of["heat-exchanger"]; listed {
		t.Error("a heat exchanger is brought for a plugged nozzle")
	}
	f, _ := s.base.Family("oil-furnace")
	if !slices.Equal(b.Cautions, f.Cautions) || len(b.Cautions) == 0 || len(b.Holds) != 0 {
		t.Errorf("cautions %v, holds %v", b.Cautions, b.Holds)
	}
	var sizes float64 // at most one size is fitted
	for _, p := range b.Parts {
		if p.For[0] == "replace-nozzle" && p.Part != "nozzle-adapter" {
			sizes += p.Probability
		}
	}
	if sizes < 0.5 || sizes > 1 {
		t.Errorf("a nozzle of some size is needed with %v", sizes)
	}
}

// TestBringHolds: what a hold says stands with what is brought.
func TestBringHolds(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	j, err := s.OpenJob(Complaint{Words: "no heat", Family: "oil-furnace", Symptoms: []kb.Finding{{Kind: kb.KindSymptom, ID: "fumes-smell", Outcome: kb.Yes}}})
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Bring(&j, BringOptions{Share: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Holds) == 0 || b.Holds[0] == "" {
		t.Errorf("fumes in the room, and nothing is said: %+v", b.Holds)
	}
	if _, err := s.Bring(&j, BringOptions{Share: 0}); err == nil {
		t.Error("a share of nothing is taken")
	}
	if j, err = s.CloseJob(j, kb.Closing{Causes: []string{kb.Unlisted}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Bring(&j, BringOptions{Share: 1}); err == nil {
		t.Error("parts are brought to a closed job")
	}
}

func TestOnlyTruck(t *testing.T) {
	s := demoShop(t, data.DemoDay())
	for _, step := range []struct{ count, want string }{{"shelf", ""}, {"truck-1", "truck-1"}, {"truck-2", ""}} {
		lines, err := s.Count(step.count, data.DemoDay(), []Pieces{{"flame-eye", 1}})
		record(t, lines, err)
		if got, err := s.OnlyTruck(); got != step.want || err != nil {
			t.Errorf("with %s counted the only truck is %q, %v; want %q", step.count, got, err, step.want)
		}
	}
}
