package main

import (
	"bytes"
	"encoding/csv"
	"math/rand/v2"
	"slices"
	"testing"

	"sootsayer/data"
	"sootsayer/kb"
)

// TestDemoIsTheSame: the same base gives the same jobs.
func TestDemoIsTheSame(t *testing.T) {
	b, err := data.Base()
	if err != nil {
		t.Fatal(err)
	}
	var first, second bytes.Buffer
	for _, w := range []*bytes.Buffer{&first, &second} {
		if err := writeDemo(w, b, 6); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Errorf("two runs differ:\n%s\n%s", &first, &second)
	}
	rows, err := csv.NewReader(&first).ReadAll()
	if err != nil || len(rows) < 7 || !slices.Equal(rows[0], columns) {
		t.Errorf("%d rows, error %v:\n%v", len(rows), err, rows)
	}
}

// TestReadings: a reading that is written gives back the outcome it was drawn
// for.
func TestReadings(t *testing.T) {
	b, err := data.Base()
	if err != nil {
		t.Fatal(err)
	}
	drawn := 0
	for i := range kinds {
		m, err := kb.NewModel(b, kinds[i].family)
		if err != nil {
			t.Fatal(err)
		}
		c := &call{truth: &truth{model: m}, rng: rand.New(rand.NewPCG(1, 2))}
		for j := range m.Observables {
			o := &m.Observables[j]
			for outcome := range o.Outcomes {
				r, ok := c.reading(b, o, outcome)
				if !ok {
					continue
				}
				drawn++
				k, _ := b.Check(o.ID)
				if in := o.Ranges[outcome]; r <= in.From || r > in.To || k.CheckReading(r) != nil {
					t.Errorf("%s: %g does not give %s (%g to %g)", o.ID, r, o.Outcomes[outcome], in.From, in.To)
				}
			}
		}
	}
	if drawn == 0 {
		t.Error("no check of the base yields a reading")
	}
}

// TestFault: with a hidden truth of one cause every fault is that cause and what
// it brings along, but for the unlisted ones and second roots.
func TestFault(t *testing.T) {
	m := &kb.Model{Causes: []kb.ModelCause{
		{ID: "a", Share: 1, Effects: []kb.Effect{{Cause: 1, P: 1}}},
		{ID: "b", Effects: []kb.Effect{{Cause: 2, P: 0.5}, {Cause: 0, P: 1}}},
		{ID: "c"},
	}}
	tr := &truth{model: m, shares: []float64{0.9, 0, 0.1}}
	rng := rand.New(rand.NewPCG(3, 4))
	var none, all, ab, alone int
	const n = 20000
	for range n {
		switch f := tr.fault(rng); {
		case len(f) == 0:
			none++
		case f[0] && f[1] && f[2]:
			all++
		case f[0] && f[1]:
			ab++
		case len(f) == 1 && f[2]:
			alone++
		case len(f) == 2 && f[0] && f[2]: // two roots bring nothing along
		default:
			t.Fatalf("fault %v cannot be", f)
		}
	}
	near := func(name string, got int, want float64) {
		if p := float64(got) / n; p < want-0.015 || p > want+0.015 {
			t.Errorf("%s: %.3f of faults, want %.3f", name, p, want)
		}
	}
	single := (1 - unlistedShare) * (1 - secondShare)
	near("none", none, unlistedShare)
	near("a, b and c", all, single*0.9*0.5)
	near("a and b", ab, single*0.9*0.5)
	near("c alone", alone, single*0.1)
}
