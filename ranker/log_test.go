package ranker

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestLn compares the fast logarithm with the standard library's over the whole
// range, and its edges.
func TestLn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := math.Exp(rapid.Float64Range(-745, 700).Draw(t, "ln x"))
		if x == 0 {
			return
		}
		if got, want := ln(x), math.Log(x); math.Abs(got-want) > 1e-15*math.Max(1, math.Abs(want)) {
			t.Fatalf("ln(%v) = %v, want %v", x, got, want)
		}
	})
	for i := range 4096 { // all cells and their borders
		x := 1 + float64(i)/4096
		if got, want := ln(x), math.Log(x); math.Abs(got-want) > 1e-15 {
			t.Errorf("ln(%v) = %v, want %v", x, got, want)
		}
	}
	for _, x := range []float64{math.SmallestNonzeroFloat64, math.MaxFloat64, math.Inf(1)} {
		if got := ln(x); got != math.Log(x) && math.Abs(got-math.Log(x)) > 1e-12 {
			t.Errorf("ln(%v) = %v, want %v", x, got, math.Log(x))
		}
	}
	if xlogx(0) != 0 {
		t.Error("0 ln 0 is not 0")
	}
}

func BenchmarkLn(b *testing.B) {
	b.Run("table", func(b *testing.B) {
		x := 0.3
		for b.Loop() {
			x = 0.3 + 1e-3*ln(x)
		}
		sink = x
	})
	b.Run("math.Log", func(b *testing.B) {
		x := 0.3
		for b.Loop() {
			x = 0.3 + 1e-3*math.Log(x)
		}
		sink = x
	})
}
