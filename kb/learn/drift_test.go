package learn

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// day is a time of day in UTC.
func day(year int, month time.Month, d int) time.Time {
	return time.Date(year, month, d, 12, 0, 0, 0, time.UTC)
}

// TestDrift: two causes that are authored alike, so that each side of the
// comparison starts as Beta(1, 1), in November 2026: the last two seasons began
// on 1 July 2025.
func TestDrift(t *testing.T) {
	half := func(f float64) *float64 { return &f }
	rose := func(recent, before beta) *float64 { return half(whole(recent, before)) }
	at := day(2026, time.November, 25)
	type jobs struct {
		cause string
		at    time.Time
		times int
	}
	for _, tt := range []struct {
		name string
		jobs []jobs
		want Drift // of cause A
	}{
		{"no jobs", nil, Drift{}},
		{"nothing before", []jobs{{"A", day(2025, time.July, 1), 3}, {"B", day(2026, time.January, 5), 1}},
			Drift{Recent: half(0.75), RecentJobs: 3}},
		{"nothing recent", []jobs{{"A", day(2025, time.June, 30), 3}, {"B", day(2019, time.January, 5), 1}},
			Drift{Before: half(0.75), BeforeJobs: 3}},
		{"alike", []jobs{{"A", day(2025, time.June, 30), 2}, {"B", day(2025, time.March, 3), 2}, {"A", day(2025, time.July, 1), 2}, {"B", day(2026, time.July, 2), 2}},
			Drift{Recent: half(0.5), Before: half(0.5), RecentJobs: 2, BeforeJobs: 2, Rose: half(0.5)}},
		{"rose", []jobs{{"A", day(2024, time.December, 1), 1}, {"B", day(2023, time.December, 1), 7}, {"A", day(2026, time.October, 1), 6}, {"B", day(2025, time.December, 1), 2}},
			Drift{Recent: half(0.75), Before: half(0.125), RecentJobs: 6, BeforeJobs: 1, Rose: rose(beta{a: 7, b: 3}, beta{a: 2, b: 8})}},
		{"never seen before", []jobs{{"B", day(2024, time.December, 1), 5}, {"A", day(2026, time.October, 1), 1}},
			Drift{Recent: half(1), Before: half(0), RecentJobs: 1, Rose: rose(beta{a: 2, b: 1}, beta{a: 1, b: 6})}},
		{"dated later than now", []jobs{{"B", day(2024, time.December, 1), 1}, {"A", day(2028, time.October, 1), 1}},
			Drift{Recent: half(1), Before: half(0), RecentJobs: 1, Rose: rose(beta{a: 2, b: 1}, beta{a: 1, b: 2})}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := lettersBase(15, 15)
			b.Settings.HalfLifeYears = 3 // must not matter
			c := New(b)
			for _, j := range tt.jobs {
				for range j.times {
					c.Add(modelJob("", j.cause, j.at))
				}
			}
			for _, p := range c.Priors(b, "birth", "", at) {
				want := Drift{}
				if p.ID == "A" {
					want = tt.want
				} else if p.ID == "B" {
					continue
				}
				if diff := diffNear(want, p.Drift, 1e-9); diff != "" {
					t.Errorf("%s (-want +got):\n%s", p.ID, diff)
				}
			}
		})
	}
}

// TestDriftWeighsConfidence: a job that was closed without certainty counts
// less, on either side.
func TestDriftWeighsConfidence(t *testing.T) {
	b := lettersBase(15, 15)
	c := New(b)
	doubtful := modelJob("", "A", day(2026, time.January, 9))
	doubtful.Closing.Confidence = 0.5
	c.Add(doubtful)
	c.Add(modelJob("", "B", day(2026, time.January, 9)))
	p := prior(t, c, b, "A")
	within(t, "recent", *p.Recent, 0.5/1.5, 1e-12)
	if p.RecentJobs != 1 {
		t.Errorf("%d jobs", p.RecentJobs)
	}
}

// TestDriftOfModelIsItsFamilys: a model has too few jobs for seasons of its own.
func TestDriftOfModelIsItsFamilys(t *testing.T) {
	b := lettersBase(15, 15)
	c := New(b)
	for _, at := range []time.Time{day(2022, time.May, 1), day(2026, time.May, 1)} {
		c.Add(modelJob("M1", "A", at))
		c.Add(modelJob("M2", "B", at))
	}
	family := map[string]Drift{}
	for _, p := range c.Priors(b, "birth", "", now) {
		family[p.ID] = p.Drift
	}
	for _, p := range c.Priors(b, "birth", "M1", now) {
		if diff := diffNear(family[p.ID], p.Drift, 0); diff != "" {
			t.Error(diff)
		}
	}
}

// TestDriftForm: the names in JSON, and null where there is nothing to compare.
func TestDriftForm(t *testing.T) {
	b := lettersBase(15, 15)
	c := New(b)
	c.Add(modelJob("", "A", now))
	data, err := json.Marshal(prior(t, c, b, "A"))
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	want := []string{"before", "before_jobs", "high", "id", "jobs", "low", "name", "now", "recent", "recent_jobs", "rose", "start", "weighted"}
	if keys := slices.Sorted(maps.Keys(got)); !slices.Equal(keys, want) {
		t.Errorf("keys %q, want %q", keys, want)
	}
	if got["recent"] != 1.0 || got["before"] != nil || got["rose"] != nil || got["recent_jobs"] != 1.0 {
		t.Errorf("%s", data)
	}
}

// TestDriftSides: shares of each side sum to 1, jobs of both sides are all there
// are, and one more recent job with a cause raises its chance of having risen.
func TestDriftSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := lettersBase(rapid.Float64Range(0.1, 20).Draw(t, "A"), 4, 9)
		c := New(b)
		all := rapid.IntRange(1, 30).Draw(t, "jobs")
		for range all {
			years := rapid.IntRange(0, 4).Draw(t, "years ago")
			c.Add(modelJob("", rapid.SampledFrom(b.IDs("causes")).Draw(t, "cause"), now.AddDate(-years, 0, 0)))
		}
		sides := func() (a Drift, recent, before float64, jobs int) {
			for _, p := range c.Priors(b, "birth", "", now) {
				if p.ID == "A" {
					a = p.Drift
				}
				if p.Recent != nil {
					recent += *p.Recent
				}
				if p.Before != nil {
					before += *p.Before
				}
				jobs += p.RecentJobs + p.BeforeJobs
				if (p.Rose == nil) != (p.Recent == nil || p.Before == nil) {
					t.Fatalf("rose without two sides: %+v", p)
				}
			}
			return a, recent, before, jobs
		}
		is, recent, before, jobs := sides()
		if recent != 0 && math.Abs(recent-1) > 1e-9 || before != 0 && math.Abs(before-1) > 1e-9 || jobs != all {
			t.Fatalf("recent shares sum to %v, before to %v, %d jobs of %d", recent, before, jobs, all)
		}
		c.Add(modelJob("", "A", now))
		if then, _, _, _ := sides(); is.Rose != nil && *then.Rose < *is.Rose-1e-9 {
			t.Fatalf("chance of having risen %v, with one more job %v", *is.Rose, *then.Rose)
		}
	})
}

// TestDriftFindsWhatRose: shares that did not change have risen by a chance of
// more than 0.95 about one time in twenty, one that doubled most of the time.
func TestDriftFindsWhatRose(t *testing.T) {
	b := lettersBase(6, 24)
	m, err := kb.NewModel(b, "birth")
	if err != nil {
		t.Fatal(err)
	}
	// Shares of A before and recently, out of 100 jobs each: all numbers of
	// jobs that there can be, by their chance.
	sure := func(before, recent float64) (chance float64) {
		const n = 100
		for x := 0.0; x <= n; x++ {
			for y := 0.0; y <= n; y++ {
				p := math.Exp(logChoose(n, x) + x*math.Log(before) + (n-x)*math.Log1p(-before) +
					logChoose(n, y) + y*math.Log(recent) + (n-y)*math.Log1p(-recent))
				if p < 1e-9 {
					continue
				}
				f := FamilyCounts{Seasons: map[int]map[string]Tally{
					2020: {"A": {Jobs: int(x), Weight: x}, "B": {Jobs: int(n - x), Weight: n - x}},
					2026: {"A": {Jobs: int(y), Weight: y}, "B": {Jobs: int(n - y), Weight: n - y}}}}
				if *f.drifts(m, day(2026, time.November, 25))[0].Rose > 0.95 {
					chance += p
				}
			}
		}
		return chance
	}
	if p := sure(0.2, 0.2); !(p > 0.02 && p < 0.06) {
		t.Errorf("sure that an unchanged share rose: %v of the time", p)
	}
	if p := sure(0.2, 0.4); !(p > 0.85) {
		t.Errorf("sure that a share rose that doubled: %v of the time", p)
	}
}

// TestRoseNeedsMoreThanOneJob: a rare cause seen once lately and never before is
// no news; five times is.
func TestRoseNeedsMoreThanOneJob(t *testing.T) {
	rose := func(jobs float64) float64 {
		recent, before := period{weights: []float64{jobs}, all: 60}, period{weights: []float64{0}, all: 60}
		return recent.posterior(0, 0.004).above(before.posterior(0, 0.004))
	}
	if once, five := rose(1), rose(5); once > 0.95 || five < 0.975 {
		t.Errorf("seen once, it rose with a chance of %.3f, seen five times with %.3f; want under 0.95 and over 0.975", once, five)
	}
}
