package data

import (
	_ "embed"
	"time"
)

//go:embed demo/jobs.csv
var demoJobs string

// DemoShop is the name of the invented shop.
const DemoShop = "Quillmarsh Heating"

// DemoDay is the morning on which the demo takes place, the start of the season
// after those of DemoJobs. The demo stands still in time so that it tells the
// same story on any day.
func DemoDay() time.Time { return time.Date(2026, time.October, 5, 8, 0, 0, 0, time.UTC) }

// DemoJobs returns the closed jobs of the invented shop in the CSV columns of
// `sootsayer job import`. They are invented: written by ./gen, no call of them
// ever took place.
func DemoJobs() string { return demoJobs }
