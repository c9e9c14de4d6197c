package index

import (
	"os"
	"testing"

	"sootsayer/kb"
)

// testBase is a small invented base; its symptoms and phrases are our own.
func testBase() *kb.Base {
	both := []string{"shop-heater", "house-furnace"}
	share := map[string]float64{"shop-heater": 1, "house-furnace": 1}
	b := &kb.Base{
		Symptoms: []kb.Symptom{
			{ID: "no-warmth", Name: "No heat at all", Families: both, Phrases: []string{"no heat", "stone dead", "nothing happens at all"}, Ask: "Is the unit dead?"},
			{ID: "never-starts", Name: "Burner does not start", Families: both, Phrases: []string{"burner won't start", "no-start", "stays silent on a call"}},
			{ID: "quits-soon", Name: "Starts and stops within seconds", Families: both, Phrases: []string{"starts then quits after a few seconds", "trips on reset"}},
			{ID: "red-lamp", Name: "Lockout lamp is lit", Families: both, Phrases: []string{"red lamp blinks", "red light is on"}},
			{ID: "smokes", Name: "Smoke from the chimney", Families: both, Phrases: []string{"black smoke outside", "chimney smokes"}},
			{ID: "oil-odor", Name: "Smell of oil", Families: both, Phrases: []string{"smells like oil", "reeks of fuel"}},
			{ID: "oil-drips", Name: "Oil leaks", Families: both, Phrases: []string{"oil on the floor", "leaking fuel line"}},
			{ID: "fan-still", Name: "Fan does not turn", Families: both, Phrases: []string{"fan does not run", "no air from the grille"}},
			{ID: "fan-always", Name: "Fan does not stop", Families: both, Phrases: []string{"fan runs all the time", "fan won't shut off"}},
			{ID: "squeals", Name: "Squeals", Families: both, Phrases: []string{"squealing pump", "high whine"}},
			{ID: "cold-block", Name: "Preheat block stays cold", Families: []string{"shop-heater"}, Phrases: []string{"preheat block is cold", "waiting for warm-up forever"}},
		},
		Components: []kb.Component{{ID: "eye", Name: "Flame eye", Families: both}, {ID: "nozzle", Name: "Nozzle", Families: both}},
		Causes: []kb.Cause{
			{ID: "eye-dirty", Name: "Flame eye dirty", Component: "eye", Mode: "sooted", Share: share, Fix: "clean-eye"},
			{ID: "nozzle-plugged", Name: "Nozzle plugged", Component: "nozzle", Mode: "plugged", Share: map[string]float64{"shop-heater": 1, "house-furnace": 0}, Fix: "replace-nozzle", Note: "Sludge from 5W-30 drain oil."},
		},
		Checks: []kb.Check{
			{ID: "eye-ohms", Name: "Measure the photocell's resistance", Families: both, How: []string{"Unplug the flame eye.", "Measure its ohms in bright light."}, Reading: &kb.Reading{Unit: "ohm"}, Outcomes: []kb.Outcome{{ID: "ok", Name: "up to 1600 ohm"}}},
			{ID: "bridge-terminals", Name: "Bridge T-T at the control", Families: []string{"house-furnace"}, How: []string{"Lift both leads off T-T.", "Touch a jumper across for a moment."}},
			{ID: "chamber-look", Name: "Look into the chamber", Families: both, How: []string{"Look for pooled oil."}},
		},
		Fixes: []kb.Fix{
			{ID: "clean-eye", Name: "Wipe the flame eye clean", How: []string{"Wipe the face with a soft cloth."}},
			{ID: "replace-nozzle", Name: "Replace the nozzle", Parts: []kb.PartUse{{Part: "nozzle-050", Qty: 1, Chance: 1}}},
		},
		Parts: []kb.Part{
			{ID: "nozzle-050", Name: "Nozzle 0.50 gph", Spec: "0.50 gph, 70 deg, hollow"},
			{ID: "nozzle-065", Name: "Nozzle 0.65 gph", Spec: "0.65 gph, 80 deg, solid"},
		},
		Holds: []kb.Hold{{ID: "restarts", When: kb.Trigger{Starts: 3}, Until: kb.Clearance{Check: "chamber-look", Outcome: "ok"}, Says: "Three restarts were made."}},
		Synonyms: [][]string{
			{"flame eye", "cad cell", "photocell"},
			{"thermostat", "t-stat"},
			{"oil", "fuel"},
			{"reset button", "reset"},
			{"lockout", "locks out", "trips on reset"},
		},
	}
	b.Reindex()
	return b
}

// shippedBase loads the base that the program ships with.
func shippedBase(t testing.TB) *kb.Base {
	t.Helper()
	b, problems := kb.Load(os.DirFS("../data/base"))
	if errs := problems.Errors(); len(errs) > 0 {
		t.Fatalf("loading the shipped base: %v", errs)
	}
	return b
}

// openMemory opens an index in memory and closes it at the end of the test.
func openMemory(t testing.TB, b *kb.Base, opts Options) *Index {
	t.Helper()
	x, err := Open("", b, opts)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := x.Close(); err != nil {
			t.Error(err)
		}
	})
	return x
}
