package learn_test

import (
	"fmt"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// An invented shop starts with even shares, worth ten jobs, and closes eight
// jobs on a plugged nozzle and two on a sooted flame eye.
func ExampleCounts_Priors() {
	share := map[string]float64{"oil-furnace": 1}
	base := &kb.Base{
		Settings: kb.Settings{Strength: 10, Unlisted: 0.1},
		Families: []kb.Family{{ID: "oil-furnace", Name: "Oil furnace"}},
		Causes: []kb.Cause{
			{ID: "nozzle-plugged", Name: "Nozzle plugged", Share: share, Fix: "replace-nozzle"},
			{ID: "flame-eye-sooted", Name: "Flame eye sooted", Share: share, Fix: "clean-flame-eye"},
		},
		Fixes: []kb.Fix{{ID: "replace-nozzle"}, {ID: "clean-flame-eye"}},
	}
	base.Reindex()
	today := time.Date(2026, time.March, 1, 0, 0, 0, 0, time.UTC)
	counts := learn.New(base)
	for i := range 10 {
		cause := "nozzle-plugged"
		if i >= 8 {
			cause = "flame-eye-sooted"
		}
		counts.Add(&kb.Job{Family: "oil-furnace", Closing: &kb.Closing{At: today, Causes: []string{cause}, Confidence: 1}})
	}
	for _, p := range counts.Priors(base, "oil-furnace", "", today) {
		fmt.Printf("%s: %.2f, now %.2f (%.2f to %.2f), %d jobs\n", p.Name, p.Start, p.Now, p.Low, p.High, p.Jobs)
	}
	// Output:
	// Nozzle plugged: 0.50, now 0.65 (0.47 to 0.81), 8 jobs
	// Flame eye sooted: 0.50, now 0.35 (0.19 to 0.53), 2 jobs
	// None of the listed causes: 0.10, now 0.05 (0.00 to 0.15), 0 jobs
}
