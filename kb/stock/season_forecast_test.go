package stock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

var heatingYear = Season{2.4, 2, 1.4, 0.8, 0.4, 0.2, 0.2, 0.3, 0.7, 1.1, 1.2, 1.3}

// uses draws a Poisson number.
func uses(r *rand.Rand, mean float64) (n int) {
	for e := -math.Log(r.Float64()); e < mean; e -= math.Log(r.Float64()) {
		n++
	}
	return n
}

// TestForecastsFollowTheSeason: a shop whose parts go in winter expects them in
// winter, whether the season was given or learned, and even where a season says
// that a month brings nothing, though it did.
func TestForecastsFollowTheSeason(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	var parts []History
	for i := range 80 {
		h := History{Part: fmt.Sprint("p", i), First: 2020 * 12}
		for m := range 48 {
			h.Pieces = append(h.Pieces, uses(r, 0.05*float64(1+i%12)*heatingYear[m%12]))
		}
		parts = append(parts, h)
	}
	wrong := heatingYear
	wrong[6] = 0
	for name, x := range map[string]struct {
		season *Season
		times  [2]float64 // January against July
	}{
		"learned": {nil, [2]float64{6, 20}},
		"given":   {&heatingYear, [2]float64{9, 15}},
		"wrong":   {&wrong, [2]float64{50, math.Inf(1)}},
		"level":   {new(Season), [2]float64{0.9, 1.2}},
	} {
		f := NewForecaster(parts, Options{Season: x.season, Workers: 2})
		mean := func(month time.Month) float64 {
			var sum float64
			for _, c := range f.All(parts, time.Date(2024, month, 1, 0, 0, 0, 0, time.UTC), 31) {
				if math.IsNaN(c.Mean) {
					t.Fatalf("%s: no mean of %s by %s", name, c.Part, c.Method)
				}
				sum += c.Mean
			}
			return sum
		}
		if times := mean(1) / mean(7); times < x.times[0] || times > x.times[1] {
			t.Errorf("%s: January brings %.2f times what July does, want %g to %g", name, times, x.times[0], x.times[1])
		}
	}
}

// TestKnowledgeHelpsWhereLittleWasSeen: after half a year, forecasts with a base
// that is right lose less in the year after than those without.
func TestKnowledgeHelpsWhereLittleWasSeen(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	rate := &JobRate{Shape: 400, Rate: 20, Season: heatingYear}
	perJob := make(map[string]float64)
	var all, before []History
	for i := range 150 {
		h := History{Part: fmt.Sprint("p", i), First: 2023*12 + 6}
		perJob[h.Part] = 0.001 * math.Pow(100, r.Float64())
		for m := range 18 {
			h.Pieces = append(h.Pieces, uses(r, 20*heatingYear.At(h.First+Month(m))*perJob[h.Part]))
		}
		h.Uses = h.Pieces
		all, before = append(all, h), append(before, h.Until(h.First+5))
	}
	knows := func(part string) (Method, bool) {
		return &Knowledge{Families: []FamilyUses{{Rate: rate, PerJob: perJob[part]}}, Strength: 3}, true
	}
	loss := func(o Options) (sum float64) {
		f := NewForecaster(before, o)
		for i := range before {
			out := f.Look(before[i])
			for m := before[i].Last() + 1; m <= all[i].Last(); m++ {
				sum += out.over(WholeMonths(m, 1)).pinball(all[i].Pieces[m-all[i].First])
			}
		}
		return sum
	}
	with, without := loss(Options{Knows: knows}), loss(Options{})
	season := loss(Options{Season: &heatingYear})
	if with > 0.9*without || with > 0.95*season {
		t.Errorf("loss %.1f with what the base knows, %.1f without, %.1f with the season alone", with, without, season)
	}
}
