package stock

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// TestThinnedCertain: each of n pieces kept with a chance is binomial, also
// where the chance of none of them vanishes.
func TestThinnedCertain(t *testing.T) {
	for _, n := range []int{0, 1, 2, 7, 40, 300, 530, 1030, 2000} {
		for _, keep := range []float64{0.05, 0.5, 0.75, 0.9, 0.99} {
			got := Certain(n).Thinned(keep)
			b := distuv.Binomial{N: float64(n), P: keep}
			for k := 0; k <= n; k++ {
				if want := b.Prob(float64(k)); math.Abs(got.At(k)-want) > 1e-10 {
					t.Fatalf("%d of %d at %g has chance %g, want %g", k, n, keep, got.At(k), want)
				}
			}
		}
	}
}

// TestThinnedFamilies: a thinned Poisson is Poisson, a thinned negative binomial
// keeps its shape.
func TestThinnedFamilies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, keep := drawUses(t, 40), rapid.Float64Range(0, 1).Draw(t, "keep")
		sameDistribution(t, u.Distribution().Thinned(keep), Uses{u.Shape, u.Mean * keep}.Distribution(), 1e-10)
	})
}

func TestThinnedMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Compound(drawUses(t, 10), drawPieces(t))
		keep := rapid.Float64Range(0, 2).Draw(t, "keep")
		got := d.Thinned(keep)
		var sum float64
		for _, p := range got {
			sum += p
		}
		if math.Abs(sum-1) > 1e-12 || math.Abs(got.Mean()-keep*d.Mean()) > 1e-8*(1+d.Mean()) {
			t.Fatalf("thinned to %g: chances sum to %g, mean %g of %g", keep, sum, got.Mean(), d.Mean())
		}
	})
}

func TestQuantilesAtOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Compound(drawUses(t, 20), drawPieces(t))
		for i, n := range d.quantiles() {
			if want := d.Quantile(Quantiles[i]); n != want {
				t.Fatalf("quantile %g is %d, want %d", Quantiles[i], n, want)
			}
		}
	})
	if got := (Distribution)(nil).quantiles(); got != [len(Quantiles)]int{} {
		t.Errorf("quantiles of nothing: %v", got)
	}
}
