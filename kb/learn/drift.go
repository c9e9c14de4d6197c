package learn

import (
	"maps"
	"slices"
	"time"

	"sootsayer/kb"
)

// Drift is how a cause's share of its family's jobs in the last two heating
// seasons, this one and the one before it, compares with that in all seasons
// before them. A season begins on 1 July. Jobs weigh by their confidence and
// not by their age.
//
// The unlisted cause has none: seasons hold listed causes only.
type Drift struct {
	Recent     *float64 `json:"recent"` // share in the last two seasons; null without jobs in them
	Before     *float64 `json:"before"` // share before them; null without jobs before
	RecentJobs int      `json:"recent_jobs"`
	BeforeJobs int      `json:"before_jobs"`
	// Rose is the chance that the share really rose, from the two counts alone:
	// that of the recent share being above the one before, by independent Beta
	// posteriors, each from the authored share worth driftStrength jobs and from
	// at least half a job. Null when there is nothing to compare. Near 0 the share really fell, near 1/2
	// nobody can tell.
	Rose *float64 `json:"rose"`
}

// RecentSince is when the last two heating seasons began: the first moment that
// Drift counts as recent.
func RecentSince(now time.Time) time.Time {
	return time.Date(season(now)-1, time.July, 1, 0, 0, 0, 0, time.UTC)
}

// driftStrength is how many jobs the authored share is worth at the start of
// either side of a comparison: weak, so that a few jobs can tell, and the same
// for both, so that alone it tells nothing.
const driftStrength = 2

// drifts works out the drift of each of the model's causes.
func (f *FamilyCounts) drifts(m *kb.Model, now time.Time) []Drift {
	first := RecentSince(now).Year() // jobs dated later than now are recent too
	recent, before := newPeriod(len(m.Causes)), newPeriod(len(m.Causes))
	for _, year := range slices.Sorted(maps.Keys(f.Seasons)) {
		p := before
		if year >= first {
			p = recent
		}
		for i := range m.Causes {
			t := f.Seasons[year][m.Causes[i].ID]
			p.jobs[i] += t.Jobs
			p.weights[i] += t.at(1)
		}
	}
	recent.all, before.all = addUp(recent.weights), addUp(before.weights)
	list := make([]Drift, len(m.Causes))
	for i := range list {
		list[i] = Drift{Recent: recent.share(i), Before: before.share(i), RecentJobs: recent.jobs[i], BeforeJobs: before.jobs[i]}
		if recent.all > 0 && before.all > 0 {
			rose := recent.posterior(i, m.Causes[i].Share).above(before.posterior(i, m.Causes[i].Share))
			list[i].Rose = &rose
		}
	}
	return list
}

// period is the root causes of some seasons, by the model's causes.
type period struct {
	jobs    []int
	weights []float64
	all     float64
}

func newPeriod(causes int) *period {
	return &period{jobs: make([]int, causes), weights: make([]float64, causes)}
}

// share is a cause's share of what was counted, nil of nothing.
func (p *period) share(i int) *float64 {
	if !(p.all > 0) {
		return nil
	}
	share := p.weights[i] / p.all
	return &share
}

// posterior starts a share from at least half a job for it: with next to nothing
// on both sides, one job against none would be said to have risen for certain.
func (p *period) posterior(i int, start float64) beta {
	const leastJobs = 0.5
	b := posterior(driftStrength, start, p.weights[i], p.all)
	b.a += max(0, leastJobs-driftStrength*start)
	return b
}
