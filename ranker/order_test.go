package ranker

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestSortByDigits: sorting by digits gives the order of the comparing sort, with
// ties, held checks and rates of 0.
func TestSortByDigits(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 2, 7, 300, fewRates} {
		id := make([]int32, n+5)
		for i, p := range rng.Perm(n + 5) {
			id[i] = int32(p)
		}
		var one, two scratch
		for _, obs := range rng.Perm(n + 5)[:n] {
			r := rate{obs: int32(obs), held: -1, perMinute: float64(rng.IntN(5)) * rng.Float64()}
			if rng.IntN(4) == 0 {
				r.perMinute = 0.25 // ties
			}
			if rng.IntN(5) == 0 {
				r.held = int32(rng.IntN(3))
			}
			one.rates = append(one.rates, r)
		}
		two.rates = slices.Clone(one.rates)
		one.sortRates(id)
		two.sortByDigits(id)
		if !slices.Equal(one.rates, two.rates) {
			t.Fatalf("%d rates: by comparing %v, by digits %v", n, one.rates, two.rates)
		}
	}
}
