package score

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// drawAnswers fills bins with forecasts, answers and weights and returns the
// Brier score, summed up plainly.
func drawAnswers(t *rapid.T, bins ...*Bins) (brier, weight float64) {
	for range rapid.IntRange(1, 60).Draw(t, "n") {
		p := rapid.OneOf(rapid.Float64Range(0, 1), rapid.SampledFrom([]float64{0, 0.1, 0.2, 0.3, 0.5, 0.7, 1})).Draw(t, "p")
		o := float64(rapid.IntRange(0, 1).Draw(t, "o"))
		w := rapid.SampledFrom([]float64{1, 0.5, 1. / 3}).Draw(t, "w")
		for _, b := range bins {
			b.Add(p, o, w)
		}
		brier += w * (p - o) * (p - o)
		weight += w
	}
	return brier / weight, weight
}

// TestPartsAddUp: whatever the bins, the five parts are the Brier score to the
// last digits.
func TestPartsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 20).Draw(t, "bins")
		wide, exact := EqualWidth(n), Distinct()
		brier, weight := drawAnswers(t, wide, exact)
		for name, b := range map[string]*Bins{"equal width": wide, "one value": exact} {
			p := b.Parts()
			sum := p.Reliability - p.Resolution + p.Uncertainty + p.WithinVariance - p.WithinCovariance
			if math.Abs(sum-brier) > 1e-12 || math.Abs(p.Brier-brier) > 1e-12 {
				t.Fatalf("%s: %+v sum to %v, the Brier score is %v", name, p, sum, brier)
			}
			if math.Abs(b.Weight()-weight) > 1e-9 {
				t.Fatalf("%s: they weigh %v, want %v", name, b.Weight(), weight)
			}
		}
		if p := exact.Parts(); p.WithinVariance != 0 || p.WithinCovariance != 0 {
			t.Fatalf("bins of one value hide something: %+v", p)
		}
		for _, b := range wide.List() {
			if b.Said < b.From-1e-9 || b.Said > b.To+1e-9 || b.Was < 0 || b.Was > 1 || b.Low > b.Said || b.High < b.Said {
				t.Fatalf("a bin that cannot be: %+v", b)
			}
		}
	})
}

// TestExactlyCalibrated: where k of n forecasts of k/n come true there is no
// error, and no reliability term.
func TestExactlyCalibrated(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := EqualWidth(10)
		for i := range 10 { // one value in each bin
			n := rapid.IntRange(1, 40).Draw(t, "n")
			k := int(math.Ceil((float64(i) + rapid.Float64Range(0.1, 0.9).Draw(t, "where")) / 10 * float64(n)))
			for j := range n {
				o := 0.
				if j < k {
					o = 1
				}
				b.Add(float64(k)/float64(n), o, 1)
			}
		}
		if e, r := b.CalibrationError(), b.Parts().Reliability; e > 1e-9 || r > 1e-12 {
			t.Fatalf("calibration error %v, reliability %v; want 0", e, r)
		}
	})
}

// TestHonestForecasts: answers drawn with the chances that were said are
// calibrated but for luck, and luck is as great as CalibrationLuck says; half a
// chance too much shows.
func TestHonestForecasts(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for _, n := range []int{200, 2000, 20000} {
		var error, luck, boast float64
		const rounds = 40
		for range rounds {
			honest, boasting := EqualWidth(binCount), EqualWidth(binCount)
			for range n {
				p, o := rng.Float64(), 0.
				if rng.Float64() < p {
					o = 1
				}
				honest.Add(p, o, 1)
				boasting.Add((1+p)/2, o, 1)
			}
			error += honest.CalibrationError() / rounds
			luck += honest.CalibrationLuck() / rounds
			boast += boasting.CalibrationError() / rounds
		}
		if !(error > 0.85*luck && error < 1.15*luck) {
			t.Errorf("%d honest forecasts: calibration error %.4f, by luck %.4f; want them alike", n, error, luck)
		}
		if math.Abs(boast-0.25) > 0.05 { // the mean of (1+p)/2 - p
			t.Errorf("%d boasting forecasts: calibration error %.4f, want 0.25", n, boast)
		}
	}
}

// TestBinBounds: a bin holds its upper bound; the first one 0 too.
func TestBinBounds(t *testing.T) {
	for _, test := range []struct{ p, from float64 }{{0, 0}, {0.05, 0}, {0.1, 0}, {0.1000001, 0.1}, {0.2, 0.1}, {0.3, 0.2}, {0.6, 0.5}, {0.7, 0.6}, {0.9, 0.8}, {1, 0.9}} {
		b := EqualWidth(10)
		b.Add(test.p, 1, 1)
		if got := b.List()[0]; math.Abs(got.From-test.from) > 1e-12 {
			t.Errorf("%v lies in the bin from %v, want %v", test.p, got.From, test.from)
		}
	}
	if b := EqualWidth(10); len(b.List()) != 0 || b.CalibrationError() != 0 || b.Parts() != (Parts{}) {
		t.Error("empty bins hold something")
	}
}
