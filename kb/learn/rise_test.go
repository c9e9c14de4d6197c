package learn

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"
)

// TestAboveAgainstPowers: with b = d = 1 the shares are powers of uniform ones
// and P(X > Y) = a/(a+c), for any a and c; so it is for 1 - X and 1 - Y.
func TestAboveAgainstPowers(t *testing.T) {
	for _, a := range []float64{1e-4, 0.02, 0.3, 1, 2.5, 40, 3000} {
		for _, c := range []float64{1e-3, 0.02, 0.7, 1, 6, 900} {
			within(t, "powers", beta{a: a, b: 1}.above(beta{a: c, b: 1}), a/(a+c), 1e-10)
			within(t, "mirrored", beta{a: 1, b: a}.above(beta{a: 1, b: c}), c/(a+c), 1e-10)
		}
	}
}

// whole is P(X > Y) for a whole x.a by the finite sum (Cook 2005, Exact
// calculation of beta inequalities; Miller 2014, Formulas for Bayesian A/B
// testing): sum for i < x.a of B(y.a+i, y.b+x.b) / ((x.b+i) B(1+i, x.b) B(y.a, y.b)).
func whole(x, y beta) float64 {
	p := 0.0
	for i := 0.0; i < x.a; i++ {
		p += math.Exp(mathext.Lbeta(y.a+i, y.b+x.b)-mathext.Lbeta(1+i, x.b)-mathext.Lbeta(y.a, y.b)) / (x.b + i)
	}
	return p
}

// TestAboveAgainstSum: whole x.a, any other parameters, and by 1 - x whole x.b.
func TestAboveAgainstSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := float64(rapid.IntRange(1, 300).Draw(t, "a"))
		real := func(label string, most float64) float64 {
			return math.Exp(rapid.Float64Range(math.Log(0.01), math.Log(most)).Draw(t, label))
		}
		x, y := beta{a: a, b: real("b", 1000)}, beta{a: real("c", 300), b: real("d", 1000)}
		want := whole(x, y)
		for how, got := range map[string]float64{"above": x.above(y), "not below": 1 - y.above(x), "mirrored": y.mirror().above(x.mirror())} {
			if !(math.Abs(got-want) <= 1e-9) {
				t.Fatalf("%s: %v, sum %v for %+v and %+v", how, got, want, x, y)
			}
		}
	})
}

// TestAboveAgainstIntegral: figures by mpmath's adaptive quadrature with 30
// digits, for shares as jobs leave them: the first is a cause authored at 1 %
// that three of 30 recent jobs had and none of 40 before.
func TestAboveAgainstIntegral(t *testing.T) {
	for _, tt := range []struct{ a, b, c, d, want float64 }{
		{3.02, 28.98, 0.02, 41.98, 0.999273973275221102},
		{0.02, 30.98, 0.02, 41.98, 0.502997540177287704},
		{12.4, 88.6, 30.4, 371.6, 0.920711388715073289},
		{0.5, 0.5, 0.5, 1.5, 0.702642367284675543},
		{250.1, 751.9, 240.1, 761.9, 0.698494359201204972},
		{1.2, 0.8, 40.2, 3.8, 0.160249521549214214},
		{3.02, 12.98, 0.06, 8.94, 0.990251236696615786},
		{0.002, 50.998, 1.002, 1049.998, 0.00613780748212332082},
	} {
		within(t, "above", beta{a: tt.a, b: tt.b}.above(beta{a: tt.c, b: tt.d}), tt.want, 1e-10)
	}
}

// TestAboveBySymmetry: of two alike neither is above; one of them always is.
func TestAboveBySymmetry(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parameter := func(label string) float64 {
			return math.Exp(rapid.Float64Range(math.Log(1e-3), math.Log(1e5)).Draw(t, label))
		}
		x, y := beta{a: parameter("a"), b: parameter("b")}, beta{a: parameter("c"), b: parameter("d")}
		if p := x.above(x); math.Abs(p-0.5) > 1e-9 {
			t.Fatalf("%+v above itself: %v", x, p)
		}
		p, q, mirrored := x.above(y), y.above(x), y.mirror().above(x.mirror())
		if math.Abs(p+q-1) > 1e-9 || math.Abs(p-mirrored) > 1e-9 || p < 0 || p > 1 {
			t.Fatalf("%v above, %v below, %v mirrored: %+v, %+v", p, q, mirrored, x, y)
		}
		if more := (beta{a: x.a * 1.1, b: x.b}).above(y); more < p-1e-9 {
			t.Fatalf("%v, but %v with more behind it: %+v, %+v", p, more, x, y)
		}
	})
}

// TestAboveAtTheLimits: a parameter of 0 is a certain share.
func TestAboveAtTheLimits(t *testing.T) {
	never, always, some := beta{a: 0, b: 3}, beta{a: 3, b: 0}, beta{a: 2, b: 5}
	for _, tt := range []struct {
		name string
		x, y beta
		want float64
	}{
		{"never and never", never, beta{a: 0, b: 70}, 0.5},
		{"always and always", always, beta{a: 70, b: 0}, 0.5},
		{"never and some", never, some, 0}, {"some and never", some, never, 1},
		{"always and some", always, some, 1}, {"some and always", some, always, 0},
		{"never and always", never, always, 0}, {"always and never", always, never, 1},
	} {
		if got := tt.x.above(tt.y); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
	within(t, "all but never", beta{a: 1e-9, b: 3}.above(beta{a: 1e-9, b: 70}), 0.5, 1e-6)
}
