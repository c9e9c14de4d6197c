package learn

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"
)

// rise is the sum for counts at x.
func rise(x float64, counts ...float64) (l, d1, d2 float64) {
	r := newRises(counts)
	return r.sum(x)
}

// TestGammaAgainstLibrary compares logarithm and derivatives of the rising
// factorial with math.Lgamma, gonum's digamma and Hurwitz zeta function, whose
// value at 2 is the trigamma function (Abramowitz and Stegun 6.4.10).
func TestGammaAgainstLibrary(t *testing.T) {
	lgamma := func(x float64) float64 { l, _ := math.Lgamma(x); return l }
	for _, x := range []float64{1e-6, 0.003, 0.5, 1, 2.75, 7.999, 8, 31, 1e4, 3e6} {
		for _, n := range []float64{1e-3, 0.25, 1, 2, 17.5, 900, 1e5} {
			l, d1, d2 := rise(x, n)
			near := func(what string, got, want, size float64) {
				t.Helper()
				if !(math.Abs(got-want) <= 1e-13*size) {
					t.Errorf("%s of %v rising by %v: %v, want %v", what, x, n, got, want)
				}
			}
			near("log", l, lgamma(x+n)-lgamma(x), 1+math.Abs(lgamma(x+n))+math.Abs(lgamma(x)))
			// gonum's digamma is off by as much as 1e-10: its psi(9) - psi(8) is
			// not 1/8. The next test is the sharper one.
			near("first derivative", d1, mathext.Digamma(x+n)-mathext.Digamma(x), 1e3+math.Abs(mathext.Digamma(x)))
			near("second derivative", d2, mathext.Zeta(2, x+n)-mathext.Zeta(2, x), 10+mathext.Zeta(2, x))
		}
	}
	// Abramowitz and Stegun 6.3.2, 6.3.3, 6.4.2 and 6.4.4, Euler's constant to
	// 16 digits.
	const euler = 0.5772156649015329
	psi, psi1 := digamma(1)
	within(t, "psi(1)", psi, -euler, 3e-15)
	within(t, "psi'(1)", psi1, math.Pi*math.Pi/6, 1e-14)
	psi, psi1 = digamma(0.5)
	within(t, "psi(1/2)", psi, -euler-2*math.Ln2, 1e-14)
	within(t, "psi'(1/2)", psi1, math.Pi*math.Pi/2, 1e-14)
}

// TestRisingIsAProduct: for whole n it is x(x+1)...(x+n-1), kept to the last
// digits even for an x so large that G(x+n) and G(x) look alike; its derivatives
// are sums of 1/(x+i) and of -1/(x+i)^2.
func TestRisingIsAProduct(t *testing.T) {
	for _, x := range []float64{1e-9, 0.4, 5, 7.5, 60, 1e6, 1e12} {
		for _, n := range []int{1, 2, 5, 40} {
			var want, want1, want2 float64
			for i := range n {
				v := x + float64(i)
				want, want1, want2 = want+math.Log(v), want1+1/v, want2-1/(v*v)
			}
			l, d1, d2 := rise(x, float64(n))
			if !(math.Abs(d1-want1) <= 1e-14*(1+want1)) || !(math.Abs(d2-want2) <= 1e-14*(1-want2)) {
				t.Errorf("%v rising by %d: derivatives %v and %v, sums %v and %v", x, n, d1, d2, want1, want2)
			}
			if !(math.Abs(l-want) <= 1e-14*float64(n)*(10+math.Abs(math.Log(x)))) {
				t.Errorf("%v rising by %d: %v, product %v", x, n, l, want)
			}
		}
	}
	if l, d1, _ := rise(0, 1, 2); !math.IsInf(l, -1) || !math.IsInf(d1, 1) {
		t.Errorf("0 rising: %v, %v", l, d1)
	}
}

// TestFitsAtTheLimits: what the fits do where the counts alone tell nothing, or
// tell that the concentration is without bound.
func TestFitsAtTheLimits(t *testing.T) {
	alike := [][]float64{{30, 20, 10}, {30, 20, 10}, {15, 10, 5}, {60, 40, 20}}
	for _, tt := range []struct {
		name   string
		counts [][]float64
		z0     float64
		want   float64 // concentration
	}{
		{"no groups", nil, 0, 0},
		{"no groups, prior", nil, 30, 0},
		{"groups without jobs", [][]float64{{0, 0, 0}, {0, 0, 0}}, 30, 0},
		{"one job a group", [][]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 1, 0}}, 0, maxConcentration},
		{"one job a group, prior", [][]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 1, 0}}, 30, 30},
		{"one group", [][]float64{{7, 2, 0}}, 0, maxConcentration},
		{"one category", [][]float64{{7, 0, 0}, {3, 0, 0}}, 0, maxConcentration},
		{"one category, prior", [][]float64{{7, 0, 0}, {3, 0, 0}}, 30, 30},
		{"alike", alike, 0, maxConcentration},
		{"each group its own", [][]float64{{9, 0, 0}, {0, 9, 0}, {0, 0, 9}}, 0, minConcentration},
	} {
		t.Run(tt.name, func(t *testing.T) {
			fit := FitDirichlet(tt.counts, tt.z0)
			if k := fit.Concentration(); !(math.Abs(k-tt.want) <= 1e-9*tt.want) {
				t.Errorf("concentration %v, want %v", k, tt.want)
			}
			if math.IsNaN(fit.LogEvidence) || fit.LogEvidence > 0 {
				t.Errorf("log evidence %v", fit.LogEvidence)
			}
			if tt.want == 0 {
				return
			}
			mean, _, _ := spread(tt.counts)
			for k, a := range fit.Alpha {
				if (a > 0) != (mean[k] > 0) {
					t.Errorf("alpha %v for a mean of %v", fit.Alpha, mean)
				}
			}
			if len(tt.counts) > 1 { // these are symmetric, so the fitted mean is that of the groups
				if kappa := FitConcentration(tt.counts, mean, tt.z0); !(math.Abs(kappa-tt.want) <= 1e-9*tt.want) {
					t.Errorf("kappa %v, want %v", kappa, tt.want)
				}
			}
		})
	}
	if kappa := FitConcentration(nil, []float64{0.5, 0.5}, 30); kappa != 30 {
		t.Errorf("kappa of no groups %v", kappa)
	}
	if kappa := FitConcentration(alike, []float64{0.5, 1. / 3, 1. / 6}, 30); !(kappa > 100 && kappa < 1e5) {
		t.Errorf("kappa of groups alike with a prior %v", kappa)
	}
	if l := DirichletEvidence([][]float64{{1, 0}}, []float64{0, 2}); !math.IsInf(l, -1) {
		t.Errorf("evidence of what cannot be: %v", l)
	}
	if l := DirichletEvidence([][]float64{{1, 0}}, []float64{0, 0}); !math.IsInf(l, -1) {
		t.Errorf("evidence without alpha: %v", l)
	}
	if l := DirichletEvidence(nil, []float64{1, 2}); l != 0 {
		t.Errorf("evidence of nothing: %v", l)
	}
}

// TestMeanAtTheBounds: groups of different sizes that differ by no more than
// chance pool by all their jobs; groups that share nothing count alike, whatever
// their size.
func TestMeanAtTheBounds(t *testing.T) {
	for _, tt := range []struct {
		name   string
		counts [][]float64
		mean   float64
	}{
		{"alike", [][]float64{{4, 4}, {30, 34}, {1, 0}, {2, 3}}, 37. / 78},
		{"nothing shared", [][]float64{{0, 9}, {50, 0}, {0, 4}, {0, 2}}, 0.25},
	} {
		fit := FitDirichlet(tt.counts, 0)
		within(t, tt.name, fit.Alpha[0]/fit.Concentration(), tt.mean, 1e-12)
	}
}

// TestRatesAtTheLimits is the same for rates.
func TestRatesAtTheLimits(t *testing.T) {
	for _, tt := range []struct {
		name        string
		groups      []Exposed
		z0          float64
		shape, mean float64
	}{
		{"no groups", nil, 0, maxConcentration, 0},
		{"no groups, prior", nil, 2, 2, 0},
		{"no events", []Exposed{{0, 3}, {0, 50}}, 2, 2, 0},
		{"no exposure", []Exposed{{3, 0}, {0, 0}}, 2, 2, 0},
		{"one group", []Exposed{{6, 3}}, 0, maxConcentration, 2},
		{"alike", []Exposed{{6, 3}, {12, 6}, {2, 1}}, 0, maxConcentration, 2},
		{"a group without exposure", []Exposed{{6, 3}, {9, 0}, {12, 6}, {2, 1}}, 0, maxConcentration, 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			fit := FitRates(tt.groups, tt.z0)
			if !(math.Abs(fit.Shape-tt.shape) <= 1e-9*tt.shape) || !(math.Abs(fit.Mean-tt.mean) <= 1e-6) {
				t.Errorf("shape %v, mean %v", fit.Shape, fit.Mean)
			}
			if math.IsNaN(fit.LogEvidence) || math.IsNaN(fit.Of(Exposed{1, 2})) || fit.Of(Exposed{}) != fit.Mean && math.Abs(fit.Of(Exposed{})/fit.Mean-1) > 1e-12 {
				t.Errorf("%+v, of nothing %v", fit, fit.Of(Exposed{}))
			}
		})
	}
	one := FitRates([]Exposed{{6, 3}}, 2)
	if !(one.Shape > 2 && one.Shape < 100) {
		t.Errorf("one group with a prior: %+v", one)
	}
}

// drawGroups draws some groups of counts over a few categories, whole or
// weighted.
func drawGroups(t *rapid.T) [][]float64 {
	k := rapid.IntRange(2, 6).Draw(t, "categories")
	weight := rapid.SampledFrom([]float64{1, 1, 0.37}).Draw(t, "weight")
	groups := make([][]float64, rapid.IntRange(1, 8).Draw(t, "groups"))
	for i := range groups {
		groups[i] = make([]float64, k)
		for j := range groups[i] {
			if rapid.Bool().Draw(t, "any") {
				groups[i][j] = weight * float64(rapid.IntRange(1, 30).Draw(t, "count"))
			}
		}
	}
	return groups
}

// TestFitDirichletIsHighest: no alpha near or far has more evidence times prior
// than the fitted one, and it takes few steps.
func TestFitDirichletIsHighest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := drawGroups(t)
		z0 := rapid.SampledFrom([]float64{0, 1, 30}).Draw(t, "z0")
		fit := FitDirichlet(groups, z0)
		if !tally(groups, len(groups[0])).tells {
			return
		}
		worth := func(alpha []float64) float64 {
			prior, _, _ := shrinkage(addUp(alpha), z0)
			return DirichletEvidence(groups, alpha) + prior
		}
		top := worth(fit.Alpha)
		for _, far := range []float64{1e-4, 0.03, 1} {
			other := make([]float64, len(fit.Alpha))
			for j, a := range fit.Alpha {
				other[j] = a * math.Exp(far*rapid.Float64Range(-1, 1).Draw(t, "by"))
			}
			if at := addUp(other); at > maxConcentration || at < minConcentration {
				continue
			}
			if w := worth(other); w > top+1e-9*(1+math.Abs(top)) {
				t.Fatalf("%v has %v, the fitted %v %v", other, w, fit.Alpha, top)
			}
		}
		mean, _, _ := spread(groups)
		for k := minConcentration; k <= maxConcentration; k *= 2 {
			other := append([]float64(nil), mean...)
			multiply(other, k)
			if w := worth(other); w > top+1e-9*(1+math.Abs(top)) {
				t.Fatalf("%v has %v, the fitted %v %v", other, w, fit.Alpha, top)
			}
		}
		if fit.steps > 60 {
			t.Fatalf("%d steps for %v", fit.steps, groups)
		}
	})
}

// TestFitConcentrationIsHighest: no kappa of a fine scan over its range has more
// evidence times prior than the fitted one.
func TestFitConcentrationIsHighest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := drawGroups(t)
		z0 := rapid.SampledFrom([]float64{0, 1, 30, 300}).Draw(t, "z0")
		mean := make([]float64, len(groups[0]))
		for j := range mean {
			mean[j] = rapid.Float64Range(0.01, 1).Draw(t, "mean")
		}
		multiply(mean, 1/addUp(mean))
		worth := func(kappa float64) float64 {
			prior, _, _ := shrinkage(kappa, z0)
			alpha := append([]float64(nil), mean...)
			multiply(alpha, kappa)
			return DirichletEvidence(groups, alpha) + prior
		}
		kappa := FitConcentration(groups, mean, z0)
		if !tally(groups, len(mean)).tells {
			return
		}
		top := worth(kappa)
		for k := minConcentration; k <= maxConcentration; k *= 1.3 {
			if w := worth(k); w > top+1e-9*(1+math.Abs(top)) {
				t.Fatalf("kappa %v has %v, the fitted %v %v, of %v with mean %v", k, w, kappa, top, groups, mean)
			}
		}
	})
}

// TestRatesWithTwoTops: a busy group of little exposure beside a quiet one. There
// is a top where rates differ and a lower one where they hardly do, and the
// climb must not go from the pooled rate to the lower one.
func TestRatesWithTwoTops(t *testing.T) {
	for _, groups := range [][]Exposed{{{2, 1.75}, {3, 0.125}}, {{5, 3.75}, {3, 0.125}}} {
		fit := FitRates(groups, 30)
		prior, _, _ := shrinkage(fit.Shape, 30)
		lower, _, _ := shrinkage(20, 30)
		if fit.Shape > 5 || fit.LogEvidence+prior < GammaPoissonEvidence(groups, 20, newExposures(groups).meanFor(20))+lower {
			t.Errorf("%v: %+v", groups, fit)
		}
	}
}

// TestFitRatesIsHighest is the same for rates.
func TestFitRatesIsHighest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := make([]Exposed, rapid.IntRange(1, 12).Draw(t, "groups"))
		for i := range groups {
			groups[i] = Exposed{float64(rapid.IntRange(0, 20).Draw(t, "events")), rapid.Float64Range(0.1, 50).Draw(t, "exposure")}
		}
		z0 := rapid.SampledFrom([]float64{0, 1, 30}).Draw(t, "z0")
		fit := FitRates(groups, z0)
		if fit.Mean == 0 {
			return
		}
		worth := func(shape, mean float64) float64 {
			prior, _, _ := shrinkage(shape, z0)
			return GammaPoissonEvidence(groups, shape, mean) + prior
		}
		top := worth(fit.Shape, fit.Mean)
		for u := math.Log(minConcentration); u <= math.Log(maxConcentration); u += 0.5 {
			for _, by := range []float64{-1, -0.1, -1e-3, 0, 1e-3, 0.1, 1} {
				if w := worth(math.Exp(u), fit.Mean*math.Exp(by)); w > top+1e-9*(1+math.Abs(top)) {
					t.Fatalf("%v, %v has %v, the fitted %+v %v, of %v", math.Exp(u), fit.Mean*math.Exp(by), w, fit, top, groups)
				}
			}
		}
		if fit.steps > 60 {
			t.Fatalf("%d steps for %v", fit.steps, groups)
		}
	})
}

// TestOrderOfGroups: groups may come in any order, and their categories too.
func TestOrderOfGroups(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := drawGroups(t)
		z0 := rapid.SampledFrom([]float64{0, 10}).Draw(t, "z0")
		fit := FitDirichlet(groups, z0)
		categories := make([]int, len(groups[0]))
		for j := range categories {
			categories[j] = j
		}
		categories = rapid.Permutation(categories).Draw(t, "categories")
		moved := make([][]float64, len(groups))
		alpha := make([]float64, len(categories))
		for i, g := range rapid.Permutation(groups).Draw(t, "groups") {
			moved[i] = make([]float64, len(g))
			for j, from := range categories {
				moved[i][j] = g[from]
				alpha[j] = fit.Alpha[from]
			}
		}
		again := FitDirichlet(moved, z0)
		if diff := diffNear(alpha, again.Alpha, 1e-5); diff != "" {
			t.Fatalf("alpha (-in order +moved):\n%s", diff)
		}
		for what, got := range map[string]float64{"of the first fit": DirichletEvidence(moved, alpha), "of its own": again.LogEvidence} {
			if !(math.Abs(got-fit.LogEvidence) <= 1e-9*(1+math.Abs(fit.LogEvidence))) {
				t.Fatalf("evidence %s %v, in order %v", what, got, fit.LogEvidence)
			}
		}
	})
}

// TestKappaFollowsLikeness: kappa grows as groups move towards their mean. For
// groups of one size that is so at every kappa: the evidence bends downwards in
// each count, so that its slope in kappa rises when counts draw together.
func TestKappaFollowsLikeness(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := make([][]float64, rapid.IntRange(2, 6).Draw(t, "groups"))
		mean := make([]float64, 4)
		const size = 40
		for i := range groups {
			groups[i] = make([]float64, len(mean))
			for range size {
				groups[i][rapid.IntRange(0, len(mean)-1).Draw(t, "cause")]++
			}
			for j, n := range groups[i] {
				mean[j] += n / (size * float64(len(groups)))
			}
		}
		z0 := rapid.SampledFrom([]float64{0, 30}).Draw(t, "z0")
		before := 0.0
		for _, likeness := range []float64{0, 0.2, 0.5, 0.8, 1} {
			blend := make([][]float64, len(groups))
			for i, g := range groups {
				blend[i] = make([]float64, len(g))
				for j, n := range g {
					blend[i][j] = (1-likeness)*n + likeness*size*mean[j]
				}
			}
			kappa := FitConcentration(blend, mean, z0)
			if kappa < before*(1-1e-6) {
				t.Fatalf("kappa %v at likeness %v, %v before, of %v", kappa, likeness, before, groups)
			}
			before = kappa
		}
	})
}
