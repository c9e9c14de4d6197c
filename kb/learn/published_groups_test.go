package learn

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

// pairs are groups of two categories: so many of so many.
func pairs(y, n []float64) [][]float64 {
	groups := make([][]float64, len(y))
	for i := range y {
		groups[i] = []float64{y[i], n[i] - y[i]}
	}
	return groups
}

// repeat is a group counted over and over.
func repeat(groups [][]float64, group []float64, times float64) [][]float64 {
	for range int(times) {
		groups = append(groups, group)
	}
	return groups
}

func logFactorial(n float64) float64 {
	l, _ := math.Lgamma(n + 1)
	return l
}

func logChoose(n, y float64) float64 {
	return logFactorial(n) - logFactorial(y) - logFactorial(n-y)
}

// ratTumours are 71 experiments: rats with tumours, and rats.
func ratTumours(t *testing.T) (y, n []float64) {
	var in struct {
		Y []float64 `json:"y"`
		N []float64 `json:"n"`
	}
	var want struct {
		Rows int
		Y    float64 `json:"sum_y"`
		N    float64 `json:"sum_n"`
	}
	vectors(t, "groups.json")["LE-04"].read(t, &in, &want)
	if len(in.Y) != want.Rows || addUp(in.Y) != want.Y || addUp(in.N) != want.N {
		t.Fatalf("%d rows, %v of %v", len(in.Y), addUp(in.Y), addUp(in.N))
	}
	return in.Y, in.N
}

// TestRatTumoursByMoments: the moment fit to 70 experiments and what it makes
// of the 71st (LE-04). The book divides by 69, our start by 70.
func TestRatTumoursByMoments(t *testing.T) {
	y, n := ratTumours(t)
	var want struct {
		Mean      float64    `json:"mean_of_70"`
		SD1       float64    `json:"sd_of_70_ddof1"`
		SD0       float64    `json:"sd_of_70_ddof0"`
		Fit1      [2]float64 `json:"alpha_beta_ddof1"`
		Fit0      [2]float64 `json:"alpha_beta_ddof0"`
		Theta71   float64    `json:"theta71_unrounded_prior_mean"`
		Published struct {
			Mean, SD float64
			Fit      [2]float64 `json:"alpha_beta"`
			Theta71  float64    `json:"theta71_mean"`
			SD71     float64    `json:"theta71_sd"`
		}
	}
	vectors(t, "groups.json")["LE-04"].read(t, &struct{}{}, &want)
	mean, ratio, _ := spread(pairs(y[:70], n[:70]))
	m := mean[0]
	within(t, "mean", m, want.Mean, 1e-9)
	within(t, "mean", m, want.Published.Mean, 0.0006)
	within(t, "sd", math.Sqrt(ratio*m*(1-m)), want.SD0, 1e-9)
	within(t, "sd", math.Sqrt(ratio*m*(1-m)*70/69), want.SD1, 1e-9)
	within(t, "sd", math.Sqrt(ratio*m*(1-m)*70/69), want.Published.SD, 0.0006)
	by70, by69 := momentConcentration(ratio, math.Inf(1)), momentConcentration(ratio*70/69, math.Inf(1))
	for k := range 2 {
		within(t, "alpha, beta", by70*mean[k], want.Fit0[k], 1e-9)
		within(t, "alpha, beta", by69*mean[k], want.Fit1[k], 1e-9)
		within(t, "alpha, beta as printed", by69*mean[k], want.Published.Fit[k], 0.05)
	}
	p := posterior(by69, m, y[70], n[70])
	within(t, "experiment 71", p.mean(), want.Theta71, 5e-5)
	within(t, "experiment 71", p.mean(), want.Published.Theta71, 0.0006)
	within(t, "its sd", math.Sqrt(p.mean()*(1-p.mean())/(p.a+p.b+1)), want.Published.SD71, 0.0006)
}

// ratVectors are the figures of LE-05.
type ratVectors struct {
	Alpha   float64    `json:"E_alpha"`
	Beta    float64    `json:"E_beta"`
	Mode    [2]float64 `json:"mode_log_scale"`
	Mean    float64    `json:"population_mean"`
	None    float64    `json:"theta_0_of_20"`
	Many    float64    `json:"theta_16_of_52"`
	Theta71 struct {
		Mean, Median float64
		CI95         [2]float64
	} `json:"theta71"`
	Fit       struct{ Alpha, Beta, Theta71 float64 } `json:"type_II_ML"`
	Published struct {
		Alpha float64 `json:"E_alpha"`
		Beta  float64 `json:"E_beta"`
		Mode  [2]float64
	}
}

// TestRatTumoursByEvidence: the alpha and beta where the evidence of all 71
// experiments is highest (LE-05).
func TestRatTumoursByEvidence(t *testing.T) {
	y, n := ratTumours(t)
	var in struct{}
	var want ratVectors
	vectors(t, "groups.json")["LE-05"].read(t, &in, &want)
	fit := FitDirichlet(pairs(y, n), 0)
	within(t, "alpha", fit.Alpha[0], want.Fit.Alpha, 1e-6)
	within(t, "beta", fit.Alpha[1], want.Fit.Beta, 1e-6)
	mean := fit.Alpha[0] / fit.Concentration()
	within(t, "experiment 71", posterior(fit.Concentration(), mean, y[70], n[70]).mean(), want.Fit.Theta71, 1e-6)
	if fit.steps > 10 {
		t.Errorf("%d Newton steps", fit.steps)
	}
	kappa := FitConcentration(pairs(y, n), []float64{mean, 1 - mean}, 0)
	within(t, "concentration with that mean", kappa, fit.Concentration(), 1e-6)
}

// TestRatTumoursHierarchy integrates the evidence with the book's prior, the
// sum of alpha and beta to the power of -5/2, over a grid of log(alpha/beta) and
// log(alpha+beta) (LE-05). The printed mode was read off a plot.
func TestRatTumoursHierarchy(t *testing.T) {
	y, n := ratTumours(t)
	var in struct {
		Power float64 `json:"prior_power_of_alpha_plus_beta"`
	}
	var want ratVectors
	vectors(t, "groups.json")["LE-05"].read(t, &in, &want)
	groups := tally(pairs(y, n), 2)
	density := func(u, v float64) (a, b, log float64) {
		k := math.Exp(v)
		a, b = k/(1+math.Exp(-u)), k/(1+math.Exp(u))
		return a, b, groups.evidence([]float64{a, b}) + in.Power*v + math.Log(a*b)
	}
	_, _, top := density(want.Mode[0], want.Mode[1])
	type point struct{ weight, a, b float64 }
	var points []point
	var all, alpha, beta, mean float64
	for u := -3.0; u <= -0.5; u += 0.02 {
		for v := 0.5; v <= 7; v += 0.05 {
			a, b, log := density(u, v)
			if log > top+1e-8 {
				t.Fatalf("density at %v, %v is above that at the published mode", u, v)
			}
			p := point{math.Exp(log - top), a, b}
			all, alpha, beta, mean = all+p.weight, alpha+p.weight*a, beta+p.weight*b, mean+p.weight*a/(a+b)
			if p.weight > 1e-10 {
				points = append(points, p)
			}
		}
	}
	average := func(f func(point) float64) float64 {
		var s, w float64
		for _, p := range points {
			s, w = s+p.weight*f(p), w+p.weight
		}
		return s / w
	}
	theta := func(y, n float64) float64 {
		return average(func(p point) float64 { return (p.a + y) / (p.a + p.b + n) })
	}
	below := func(x float64) float64 {
		return average(func(p point) float64 { return mathext.RegIncBeta(p.a+4, p.b+10, x) })
	}
	within(t, "alpha", alpha/all, want.Alpha, 5e-4)
	within(t, "beta", beta/all, want.Beta, 2e-3)
	within(t, "population mean", mean/all, want.Mean, 1e-5)
	within(t, "0 of 20", theta(0, 20), want.None, 1e-5)
	within(t, "16 of 52", theta(16, 52), want.Many, 1e-5)
	within(t, "experiment 71", theta(4, 14), want.Theta71.Mean, 1e-5)
	within(t, "below its median", below(want.Theta71.Median), 0.5, 1e-4)
	within(t, "below its interval", below(want.Theta71.CI95[0]), 0.025, 1e-4)
	within(t, "within its interval", below(want.Theta71.CI95[1]), 0.975, 1e-4)
	within(t, "alpha as printed", alpha/all, want.Published.Alpha, 0.05)
	within(t, "beta as printed", beta/all, want.Published.Beta, 0.05)
	within(t, "mode as read off", want.Mode[0], want.Published.Mode[0], 0.06)
	within(t, "mode as read off", want.Mode[1], want.Published.Mode[1], 0.06)
}

// TestBaseball: eighteen batting averages of 45 at bats (LE-06). James and
// Stein's rule is for normal errors of known size and divides by k - 3 = 15;
// with 15 our moment formula keeps as much of a player's own average, but for
// the 45/44 of a binomial variance estimated from the same mean. The evidence
// of the Beta-binomial is another estimate, pools harder (it finds the players
// as good as alike) and predicts the rest of the season about as well.
func TestBaseball(t *testing.T) {
	var in struct {
		AtBats float64 `json:"at_bats"`
		Hits   []float64
		Rest   []float64 `json:"rest_of_season"`
	}
	var want struct {
		Mean      float64   `json:"ybar"`
		Variance  float64   `json:"s2"`
		Keep      float64   `json:"c"`
		Shrunk    []float64 `json:"js"`
		Raw       float64   `json:"sse_raw"`
		Stein     float64   `json:"sse_js"`
		Published struct{ C, First, Last float64 }
	}
	vectors(t, "groups.json")["LE-06"].read(t, &in, &want)
	k := float64(len(in.Hits))
	n := make([]float64, len(in.Hits))
	for i := range n {
		n[i] = in.AtBats
	}
	groups := pairs(in.Hits, n)
	mean, ratio, _ := spread(groups)
	within(t, "mean", mean[0], want.Mean, 1e-12)

	// The reference figure, by the published formula.
	within(t, "James-Stein", 1-(k-3)/k*(mean[0]*(1-mean[0])/in.AtBats)/(ratio*mean[0]*(1-mean[0])), want.Keep, 1e-12)
	within(t, "James-Stein", want.Keep, want.Published.C, 5e-4)

	byMoments := momentConcentration(ratio*k/(k-3), in.AtBats)
	keep := in.AtBats / (in.AtBats + byMoments)
	within(t, "kept by moments", keep, want.Keep*in.AtBats/(in.AtBats-1), 1e-12)
	for i, y := range in.Hits {
		p := posterior(byMoments, mean[0], y, in.AtBats)
		within(t, "shrunk by moments", p.mean(), want.Shrunk[i], 0.0008)
	}

	fit := FitDirichlet(groups, 0)
	own := in.AtBats / (in.AtBats + fit.Concentration())
	if !(own > 0 && own < want.Keep) {
		t.Errorf("kept by evidence %v, James-Stein %v", own, want.Keep)
	}
	var raw, stein, ours float64
	for i, y := range in.Hits {
		p := posterior(fit.Concentration(), fit.Alpha[0]/fit.Concentration(), y, in.AtBats)
		raw += math.Pow(y/in.AtBats-in.Rest[i], 2)
		stein += math.Pow(mean[0]+want.Keep*(y/in.AtBats-mean[0])-in.Rest[i], 2)
		ours += math.Pow(p.mean()-in.Rest[i], 2)
	}
	within(t, "squared error unshrunk", raw, want.Raw, 1e-12)
	within(t, "squared error of James-Stein", stein, want.Stein, 1e-12)
	if ours > 1.1*stein || ours > raw/3 {
		t.Errorf("squared error %v, unshrunk %v, James-Stein %v", ours, raw, stein)
	}
}

// boys are 6115 families of 12 children by boys and girls (LE-08).
func boys(t *testing.T) (groups [][]float64, families []float64) {
	var in struct {
		N        float64
		Families []float64 `json:"families_by_boys_0_to_12"`
	}
	vectors(t, "groups.json")["LE-08"].read(t, &in, &struct{}{})
	for y, times := range in.Families {
		groups = repeat(groups, []float64{float64(y), in.N - float64(y)}, times)
	}
	return groups, in.Families
}

// TestBoysInFamilies: all but a binomial, so the evidence is a long flat ridge
// (LE-08). The published maximum had not quite converged.
func TestBoysInFamilies(t *testing.T) {
	groups, families := boys(t)
	var want struct {
		Moments     [2]float64 `json:"moments_alpha_beta"`
		Fit         [2]float64 `json:"ml_alpha_beta"`
		LogL, AIC   float64
		BinomialAIC float64 `json:"binomial_AIC"`
		Published   struct {
			Moments, ML [2]float64
			LogL, AIC   float64
			BinomialAIC float64 `json:"binomial_AIC"`
		}
	}
	vectors(t, "groups.json")["LE-08"].read(t, &struct{}{}, &want)
	mean, ratio, size := spread(groups)
	within(t, "size", size, 12, 1e-9)
	orders := 0.0 // ways to order the children, which the evidence leaves out
	for y, times := range families {
		orders += times * logChoose(12, float64(y))
	}
	fit := FitDirichlet(groups, 0)
	for k := range 2 {
		start := momentConcentration(ratio, size) * mean[k]
		within(t, "moments", start, want.Moments[k], 1e-8)
		within(t, "moments", start, want.Published.Moments[k], 5e-4)
		within(t, "maximum", fit.Alpha[k], want.Fit[k], 1e-4)
		within(t, "maximum", fit.Alpha[k], want.Published.ML[k], 0.01)
	}
	l := fit.LogEvidence + orders
	within(t, "log likelihood", l, want.LogL, 1e-7)
	within(t, "log likelihood", l, want.Published.LogL, 0.05)
	within(t, "AIC", 4-2*l, want.AIC, 1e-4)
	within(t, "AIC", 4-2*l, want.Published.AIC, 0.005)
	if published := DirichletEvidence(groups, want.Published.ML[:]); published > fit.LogEvidence {
		t.Errorf("the published maximum %v is higher than ours, %v", published, fit.LogEvidence)
	}
	// The binomial is the limit of an infinite concentration.
	pooled := mean[0] // all families are of one size
	binomial := DirichletEvidence(groups, []float64{1e11 * pooled, 1e11 * (1 - pooled)}) + orders
	within(t, "binomial AIC", 2-2*binomial, want.BinomialAIC, 1e-3)
	within(t, "binomial AIC", 2-2*binomial, want.Published.BinomialAIC, 0.01)
}

// fixedPoint is Minka's iteration, in full: alpha_k times the sum over groups of
// psi(n_ik+alpha_k) - psi(alpha_k), over that of psi(n_i+A) - psi(A). times says
// how often each group is there. It stops when no alpha moves by more than
// `still`, and returns the steps.
func fixedPoint(groups [][]float64, times, alpha []float64, still float64) int {
	for step := 1; ; step++ {
		all, below, moved := addUp(alpha), 0.0, 0.0
		for i, g := range groups {
			below += times[i] * (mathext.Digamma(addUp(g)+all) - mathext.Digamma(all))
		}
		for k, a := range alpha {
			above := 0.0
			for i, g := range groups {
				above += times[i] * (mathext.Digamma(g[k]+a) - mathext.Digamma(a))
			}
			alpha[k] = a * above / below
			moved = max(moved, math.Abs(alpha[k]-a))
		}
		if moved < still {
			return step
		}
	}
}

// TestFixedPoint: Minka's fixed point and our Newton steps end at the same
// alpha, for the boys and for three categories (LE-09). The fixed point takes
// some 21,000 steps for the boys, ours few.
func TestFixedPoint(t *testing.T) {
	var in struct {
		K3 [][]float64 `json:"K3_counts"`
	}
	var want struct {
		K2   []float64 `json:"K2_alpha"`
		K3   []float64 `json:"K3_alpha"`
		LogL float64   `json:"K3_logL_without_multinomial_coefficient"`
	}
	vectors(t, "groups.json")["LE-09"].read(t, &in, &want)
	groups, families := boys(t)
	kinds := make([][]float64, len(families))
	for y := range kinds {
		kinds[y] = []float64{float64(y), 12 - float64(y)}
	}
	plain := []float64{10, 10}
	steps := fixedPoint(kinds, families, plain, 1e-10)
	fit := FitDirichlet(groups, 0)
	t.Logf("boys: %d steps of the fixed point, %d of Newton", steps, fit.steps)
	for k := range plain {
		within(t, "boys, fixed point", plain[k], want.K2[k], 1e-3)
		within(t, "boys", fit.Alpha[k], want.K2[k], 1e-3)
		within(t, "boys", fit.Alpha[k], plain[k], 1e-3)
	}
	if steps < 10_000 || fit.steps > 10 {
		t.Errorf("%d steps of the fixed point, %d of Newton", steps, fit.steps)
	}

	once := []float64{1, 1, 1, 1, 1, 1, 1, 1}
	plain = []float64{1, 1, 1}
	fixedPoint(in.K3, once, plain, 1e-11)
	fit = FitDirichlet(in.K3, 0)
	for k := range plain {
		within(t, "three categories", fit.Alpha[k], want.K3[k], 1e-5)
		within(t, "three categories", fit.Alpha[k], plain[k], 1e-6)
	}
	within(t, "their evidence", fit.LogEvidence, want.LogL, 1e-8)
	within(t, "their evidence", DirichletEvidence(in.K3, fit.Alpha), fit.LogEvidence, 0)
}

// TestStomachCancer: deaths in 20 cities with the uniform-shrinkage prior of
// median 1 (LE-10). The book's mode is where its search stopped; groups.json has
// it recomputed, and to 40 digits by mpmath.
func TestStomachCancer(t *testing.T) {
	var in struct {
		Y []float64 `json:"y"`
		N []float64 `json:"n"`
	}
	var want struct {
		Mode  [2]float64
		Eta   float64
		Exact struct {
			Mode     [2]float64
			Var      [2][2]float64 `json:"laplace_var"`
			Evidence float64       `json:"laplace_log_evidence"`
		} `json:"by_mpmath_of_40_digits"`
		Three     float64 `json:"shrunk_3_of_582"`
		None      float64 `json:"shrunk_0_of_1083"`
		Published struct {
			Mode     [2]float64
			Evidence float64 `json:"log_evidence"`
		}
	}
	vectors(t, "groups.json")["LE-10"].read(t, &in, &want)
	groups := pairs(in.Y, in.N)
	fit := FitDirichlet(groups, 1)
	k := fit.Concentration()
	eta := fit.Alpha[0] / k
	mode := [2]float64{math.Log(fit.Alpha[0] / fit.Alpha[1]), math.Log(k)}
	for i := range mode {
		within(t, "mode", mode[i], want.Exact.Mode[i], 1e-9)
		within(t, "mode", mode[i], want.Mode[i], 1e-5)
		within(t, "mode", mode[i], want.Published.Mode[i], 0.002)
	}
	within(t, "mean", eta, want.Eta, 1e-8)
	within(t, "3 of 582", posterior(k, eta, 3, 582).mean(), want.Three, 1e-8)
	within(t, "0 of 1083", posterior(k, eta, 0, 1083).mean(), want.None, 1e-8)

	kappa := FitConcentration(groups, []float64{eta, 1 - eta}, 1)
	within(t, "concentration with that mean", kappa/k, 1, 1e-8)

	// Laplace's approximation, second derivatives by differences.
	log := func(u, v float64) float64 {
		k := math.Exp(v)
		prior, _, _ := shrinkage(k, 1)
		return DirichletEvidence(groups, []float64{k / (1 + math.Exp(-u)), k / (1 + math.Exp(u))}) + prior
	}
	const h = 0.01
	u, v, top := mode[0], mode[1], log(mode[0], mode[1])
	uu := (log(u+h, v) - 2*top + log(u-h, v)) / (h * h)
	vv := (log(u, v+h) - 2*top + log(u, v-h)) / (h * h)
	uv := (log(u+h, v+h) - log(u+h, v-h) - log(u-h, v+h) + log(u-h, v-h)) / (4 * h * h)
	det := uu*vv - uv*uv
	within(t, "variance of the logit", -vv/det, want.Exact.Var[0][0], 1e-5)
	within(t, "covariance", uv/det, want.Exact.Var[0][1], 3e-5)
	within(t, "variance of log K", -uu/det, want.Exact.Var[1][1], 3e-4)
	laplace := top + math.Log(2*math.Pi) - math.Log(det)/2
	within(t, "log evidence", laplace, want.Exact.Evidence, 5e-5)
	within(t, "log evidence", laplace, want.Published.Evidence, 1e-4)
}
