package score

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawChances draws a distribution over n classes, all of them possible.
func drawChances(t *rapid.T, n int, label string) []float64 {
	p := rapid.SliceOfN(rapid.Float64Range(0.001, 1), n, n).Draw(t, label)
	var sum float64
	for _, v := range p {
		sum += v
	}
	for k := range p {
		p[k] /= sum
	}
	return p
}

// TestRulesAreProper: nobody expects to do better by saying something else than
// what he believes.
func TestRulesAreProper(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "n")
		believed, said := drawChances(t, n, "believed"), drawChances(t, n, "said")
		for name, rule := range map[string]func([]float64, int) float64{"log loss": LogLoss, "Brier": Brier} {
			var honest, other float64
			for k, p := range believed {
				honest += p * rule(believed, k)
				other += p * rule(said, k)
			}
			if honest > other+1e-12 {
				t.Fatalf("%s: %v expected for what is believed, %v for something else", name, honest, other)
			}
		}
	})
}

// TestPlaces: the places of all classes are those of the list.
func TestPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.SampledFrom([]float64{0, 0.1, 0.2, 0.4}), 1, 7).Draw(t, "p")
		var places []int
		for k := range p {
			places = append(places, Place(p, k))
		}
		if places[first(p)] != 1 {
			t.Fatalf("%d is named first, but has place %d", first(p), places[first(p)])
		}
		slices.Sort(places)
		for i, place := range places {
			if place != i+1 {
				t.Fatalf("the places are %v", places)
			}
		}
	})
}

func TestImpossibleTruth(t *testing.T) {
	if got := LogLoss([]float64{1, 0}, 1); got != mostBits {
		t.Errorf("a truth held impossible counts %v bits, want %d", got, mostBits)
	}
	if got := LogLoss([]float64{1, 0}, 0); got != 0 {
		t.Errorf("a certain truth counts %v bits, want 0", got)
	}
	if got := LogLoss([]float64{1, math.SmallestNonzeroFloat64}, 1); got != mostBits {
		t.Errorf("a truth next to impossible counts %v bits, want %d", got, mostBits)
	}
}

// TestSeveralRoots: a job with two independent root causes scores the mean.
func TestSeveralRoots(t *testing.T) {
	forecast := []float64{0.5, 0.125, 0.375}
	got := scoresOf(forecast, []int{0, 1})
	want := scoresOf(forecast, []int{0}).plus(scoresOf(forecast, []int{1})).over(2)
	if got != want || got.LogLoss != 2 || got.Top1 != 0.5 || got.Place != 2 {
		t.Errorf("it scores %+v, want %+v with 2 bits and half a hit", got, want)
	}
}

// TestGain: the mean of the differences, with the bounds of a normal mean.
func TestGain(t *testing.T) {
	var d difference
	for _, bits := range []float64{1, 2, 3, 4} {
		d.add(bits)
	}
	// By hand: mean 2.5, variance 5/3 with n-1, so 1.6449 x sqrt(5/3/4).
	got := d.gain(4)
	reach := 1.6448536269514722 * math.Sqrt(5./12)
	if math.Abs(got.Bits-2.5) > 1e-12 || math.Abs(got.Low-(2.5-reach)) > 1e-12 || math.Abs(got.High-(2.5+reach)) > 1e-12 {
		t.Errorf("%+v, want 2.5 +/- %v", got, reach)
	}
	if got := (&difference{sum: 1, squares: 1}).gain(1); got != (Gain{1, -mostBits, mostBits}) {
		t.Errorf("of one job: %+v", got)
	}
	if got := (&difference{}).gain(0); got != (Gain{}) {
		t.Errorf("of no job: %+v", got)
	}
}
