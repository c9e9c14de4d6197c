package learn

import (
	"math"
	"time"

	"sootsayer/kb"
)

// epoch is the day that stored weights are relative to. Sums of weights
// relative to one day do not depend on when the jobs were counted.
var epoch = time.Date(2026, time.January, 1, 0, 0, 0, 0, time.UTC)

// yearSeconds is a Julian year of 365.25 days.
const yearSeconds = 365.25 * 24 * 60 * 60

// farthest bounds ages in half-lives, so that no weight becomes infinite.
const farthest = 1000

// ageWeight is what a job weighs at the epoch, were it certain: 2^(t/half-life),
// t the years from the epoch to the closing.
func (c *Counts) ageWeight(closed time.Time) float64 { return math.Exp2(c.halfLives(closed)) }

// certainty is the closing's confidence, bounded to [0,1].
func certainty(closing *kb.Closing) float64 {
	if !(closing.Confidence > 0) {
		return 0
	}
	return min(1, closing.Confidence)
}

// season is the year in which the heating season of a time began: on 1 July,
// so that a winter is one season. Common practice, no source.
func season(t time.Time) int {
	t = t.UTC()
	if t.Month() < time.July {
		return t.Year() - 1
	}
	return t.Year()
}

// Now is the factor that turns stored weights into what they are worth at a
// time: 2^(-t/half-life), t the years from the fixed day of the weights.
func (c *Counts) Now(now time.Time) float64 { return math.Exp2(-c.halfLives(now)) }

// halfLives is the time from the epoch to t in half-lives, 0 without one.
func (c *Counts) halfLives(t time.Time) float64 {
	if !(c.HalfLifeYears > 0) {
		return 0
	}
	years := (float64(t.Unix()-epoch.Unix()) + float64(t.Nanosecond())/1e9) / yearSeconds
	return max(-farthest, min(farthest, years/c.HalfLifeYears))
}

// at is the weight of the jobs now. A job never weighs more than 1, whatever
// date its closing bears.
func (t Tally) at(scale float64) float64 {
	return max(0, min(t.Weight*scale, float64(t.Jobs)))
}

// posterior is that of a chance that started at `start`, worth `strength` jobs,
// by what the trials weigh now.
func (t Trials) posterior(strength, start, scale float64) beta {
	trials := Tally{Jobs: t.Jobs, Weight: t.Weight}.at(scale)
	if !(trials > 0) {
		return posterior(strength, start, 0, 0)
	}
	return posterior(strength, start, trials*max(0, min(t.Hits/t.Weight, 1)), trials)
}

// at is the weight of each outcome now, all together at most one a job.
func (r *RowCounts) at(scale float64) []float64 {
	w := make([]float64, len(r.Weights))
	var sum float64
	limit := math.MaxFloat64 / float64(len(w)) // keeps the sum finite
	for j, v := range r.Weights {
		w[j] = max(0, min(v*scale, limit))
		sum += w[j]
	}
	if most := max(0, float64(r.Jobs)); sum > most {
		for j := range w {
			w[j] *= most / sum
		}
	}
	return w
}
