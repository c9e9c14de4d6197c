package stock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// invented returns parts of an invented shop: rates spread over two orders of
// magnitude, a third of the parts taken up or dying out, some used in pairs or
// by the ten.
func invented(n, months int) []History {
	r := rand.New(rand.NewPCG(1, 2))
	parts := make([]History, n)
	for i := range parts {
		rate := 0.02 * math.Pow(100, r.Float64())
		from, to := 0, months
		switch r.IntN(6) {
		case 0:
			from = r.IntN(months)
		case 1:
			to = r.IntN(months)
		}
		each := []int{1, 1, 1, 1, 2, 2, 4, 10}[r.IntN(8)]
		h := History{Part: fmt.Sprintf("p%05d", i), First: 2020 * 12, Pieces: make([]int, months), Uses: make([]int, months)}
		for m := from; m < to; m++ {
			for x := -math.Log(r.Float64()); x < rate; x -= math.Log(r.Float64()) {
				h.Uses[m]++
				h.Pieces[m] += each
			}
		}
		parts[i] = h
	}
	return parts
}

// BenchmarkForecast is a full forecast with the choice of a method, learning
// from all parts included: 10,000 parts of 60 months are promised in 5 s.
func BenchmarkForecast(b *testing.B) {
	rate := &JobRate{Shape: 100, Rate: 10}
	jobs := &Knowledge{Families: []FamilyUses{{Rate: rate, PerJob: 0.02}, {Rate: rate, PerJob: 0.01}}, Pieces: Distribution{0, 0.8, 0.2}, Strength: 3}
	known := func(string) (Method, bool) { return jobs, true }
	for _, x := range []struct {
		parts int
		knows func(string) (Method, bool)
	}{{1000, nil}, {10_000, nil}, {10_000, known}} {
		n := x.parts
		parts := invented(n, 60)
		b.Run(fmt.Sprintf("parts=%d/months=60/knowledge=%t", n, x.knows != nil), func(b *testing.B) {
			for b.Loop() {
				f := NewForecaster(parts, Options{Knows: x.knows, Workers: 2})
				if got := f.All(parts, time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC), 90); len(got) != n {
					b.Fatal(len(got))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*n), "us/part")
		})
	}
}

// BenchmarkPart is the forecast of one part by what was learned: 1 ms is
// promised.
func BenchmarkPart(b *testing.B) {
	parts := invented(300, 60)
	f := NewForecaster(parts, Options{Workers: 2})
	from := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, days := range []int{30, 90, 365} {
		b.Run(fmt.Sprintf("months=60/days=%d", days), func(b *testing.B) {
			i := 0
			for b.Loop() {
				f.Look(parts[i%len(parts)]).Forecast(from, days)
				i++
			}
		})
	}
}
