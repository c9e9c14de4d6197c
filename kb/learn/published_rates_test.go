package learn

import (
	"math"
	"testing"
)

// exposed are groups of events.
func exposed(events, exposure []float64) []Exposed {
	groups := make([]Exposed, len(events))
	for i := range groups {
		groups[i] = Exposed{events[i], exposure[i]}
	}
	return groups
}

// logPoisson is what GammaPoissonEvidence leaves out: sum of y ln e - ln y!.
func logPoisson(groups []Exposed) float64 {
	l := 0.0
	for _, g := range groups {
		l += g.Events*math.Log(g.Exposure) - logFactorial(g.Events)
	}
	return l
}

// TestRareEventRate: asthma deaths with a Gamma(3, 5) prior (LE-03).
func TestRareEventRate(t *testing.T) {
	var in struct {
		Shape    float64 `json:"prior_shape"`
		Rate     float64 `json:"prior_rate"`
		Deaths   float64
		Exposure float64
		Second   struct{ Deaths, Exposure float64 } `json:"second_case"`
	}
	var want struct {
		Prior     float64 `json:"prior_mean"`
		Mean      float64
		TenYear   struct{ Mean float64 } `json:"ten_year"`
		Published struct {
			Mean    float64
			TenYear float64 `json:"ten_year_mean"`
		}
	}
	vectors(t, "rates.json")["LE-03"].read(t, &in, &want)
	prior := RatesFit{Shape: in.Shape, Mean: in.Shape / in.Rate}
	within(t, "prior mean", prior.Of(Exposed{}), want.Prior, 1e-15)
	within(t, "mean", prior.Of(Exposed{in.Deaths, in.Exposure}), want.Mean, 1e-12)
	within(t, "mean", prior.Of(Exposed{in.Deaths, in.Exposure}), want.Published.Mean, 0.005)
	within(t, "ten years", prior.Of(Exposed{in.Second.Deaths, in.Second.Exposure}), want.TenYear.Mean, 1e-12)
	within(t, "ten years", prior.Of(Exposed{in.Second.Deaths, in.Second.Exposure}), want.Published.TenYear, 0.005)
}

// TestHospitals: deaths of 94 hospitals with the uniform-shrinkage prior on the
// shape (LE-11). The book's mode is where its search stopped.
func TestHospitals(t *testing.T) {
	var in struct {
		Deaths, Exposure []float64
		Z0               float64
	}
	var want struct {
		Mode      [2]float64
		Alpha, Mu float64
		Pooled    float64    `json:"pooled_rate"`
		First     float64    `json:"shrunk_rate_row1_0_of_532"`
		Weight    float64    `json:"weight_row1_on_prior"`
		Last      float64    `json:"shrunk_rate_row94_17_of_12131"`
		Published [2]float64 `json:"published_mode"`
	}
	vectors(t, "rates.json")["LE-11"].read(t, &in, &want)
	groups := exposed(in.Deaths, in.Exposure)
	within(t, "pooled", addUp(in.Deaths)/addUp(in.Exposure), want.Pooled, 1e-11)
	fit := FitRates(groups, in.Z0)
	mode := [2]float64{math.Log(fit.Shape), math.Log(fit.Mean)}
	for i := range mode {
		within(t, "mode", mode[i], want.Mode[i], 1e-6)
		within(t, "mode", mode[i], want.Published[i], 0.002)
	}
	within(t, "alpha", fit.Shape, want.Alpha, 1e-5)
	within(t, "mu", fit.Mean, want.Mu, 1e-10)
	within(t, "first", fit.Of(groups[0]), want.First, 1e-9)
	within(t, "weight of the prior there", fit.Rate()/(fit.Rate()+in.Exposure[0]), want.Weight, 1e-6)
	within(t, "last", fit.Of(groups[93]), want.Last, 1e-9)
	within(t, "evidence", fit.LogEvidence, GammaPoissonEvidence(groups, fit.Shape, fit.Mean), 1e-10)
	if fit.steps > 10 {
		t.Errorf("%d Newton steps", fit.steps)
	}
}

// TestPumps: failures of ten power-plant pumps: the alpha and beta of the
// highest evidence, and their posterior with alpha ~ Exp(1), beta ~ Gamma(0.1,
// 1) by integrating the evidence over a grid of logarithms (LE-12). The figures
// printed come from random walks and carry their noise.
func TestPumps(t *testing.T) {
	var in struct{ Failures, Time []float64 }
	var want struct {
		Fit       [2]float64 `json:"type_II_ML"`
		LogL      float64    `json:"type_II_logL"`
		Posterior struct {
			Alpha, Beta [2]float64
			Mean        []float64 `json:"theta_mean"`
			SD          []float64 `json:"theta_sd"`
		}
		Published struct {
			Fit   [2]float64 `json:"MCEM_ML"`
			Mean  []float64  `json:"BUGS_theta_mean"`
			Alpha float64    `json:"BUGS_alpha"`
			Beta  float64    `json:"BUGS_beta"`
		}
	}
	vectors(t, "rates.json")["LE-12"].read(t, &in, &want)
	groups := exposed(in.Failures, in.Time)
	fit := FitRates(groups, 0)
	for i, v := range [2]float64{fit.Shape, fit.Rate()} {
		within(t, "maximum", v, want.Fit[i], 1e-7)
		within(t, "maximum", v, want.Published.Fit[i], 0.003)
	}
	within(t, "log likelihood", fit.LogEvidence+logPoisson(groups), want.LogL, 1e-7)

	var all, alpha, alpha2, beta, beta2 float64
	mean, square := make([]float64, len(groups)), make([]float64, len(groups))
	for u := -6.0; u <= 4; u += 0.05 {
		for v := -12.0; v <= 4; v += 0.05 {
			a, b := math.Exp(u), math.Exp(v)
			w := math.Exp(GammaPoissonEvidence(groups, a, a/b) - fit.LogEvidence - a + u - b + 0.1*v)
			all, alpha, alpha2, beta, beta2 = all+w, alpha+w*a, alpha2+w*a*a, beta+w*b, beta2+w*b*b
			for i, g := range groups {
				shape, rate := a+g.Events, b+g.Exposure
				mean[i] += w * shape / rate
				square[i] += w * shape * (shape + 1) / (rate * rate)
			}
		}
	}
	sd := func(sum, squares float64) float64 { return math.Sqrt(squares/all - sum*sum/(all*all)) }
	p := want.Posterior
	within(t, "alpha", alpha/all, p.Alpha[0], 1e-5)
	within(t, "sd of alpha", sd(alpha, alpha2), p.Alpha[1], 1e-5)
	within(t, "beta", beta/all, p.Beta[0], 1e-5)
	within(t, "sd of beta", sd(beta, beta2), p.Beta[1], 1e-5)
	within(t, "alpha", alpha/all, want.Published.Alpha, 0.015)
	within(t, "beta", beta/all, want.Published.Beta, 0.015)
	for i := range groups {
		within(t, "pump", mean[i]/all, p.Mean[i], 1e-5)
		within(t, "sd of a pump", sd(mean[i], square[i]), p.SD[i], 1e-5)
		within(t, "pump", mean[i]/all, want.Published.Mean[i], 0.015)
	}
}

// TestMites: mites on 150 apple leaves, a negative binomial (LE-15): events in
// an exposure of 1 each.
func TestMites(t *testing.T) {
	var in struct {
		Leaves []float64 `json:"leaves_by_count_0_to_7"`
	}
	var want struct {
		N         int
		Mean      float64
		Variance  float64 `json:"variance_ddof1"`
		Moments   float64 `json:"k_moments"`
		Fit       float64 `json:"k_ML"`
		Published float64 `json:"published_k"`
	}
	vectors(t, "rates.json")["LE-15"].read(t, &in, &want)
	var groups []Exposed
	for mites, leaves := range in.Leaves {
		for range int(leaves) {
			groups = append(groups, Exposed{float64(mites), 1})
		}
	}
	if len(groups) != want.N {
		t.Fatalf("%d leaves", len(groups))
	}
	fit := FitRates(groups, 0)
	within(t, "mean", fit.Mean, want.Mean, 1e-9)
	within(t, "k", fit.Shape, want.Fit, 1e-7)
	within(t, "k", fit.Shape, want.Published, 5e-6)
	// Our moment start divides by 150, the book by 149.
	variance := want.Mean + want.Mean*want.Mean/newExposures(groups).momentShape()
	within(t, "variance", variance*150/149, want.Variance, 1e-9)
	within(t, "k by moments", want.Mean*want.Mean/(variance*150/149-want.Mean), want.Moments, 1e-9)
}

// TestPredictives: the evidence of one group is the chance of its counts, but
// for what does not depend on the parameters (LE-18).
func TestPredictives(t *testing.T) {
	var in struct {
		BB struct{ N, A, B float64 }               `json:"beta_binomial"`
		GP struct{ Shape, Rate, Exposure float64 } `json:"gamma_poisson"`
	}
	var want struct {
		BB     []float64 `json:"beta_binomial_0_to_3"`
		BBMean float64   `json:"beta_binomial_mean"`
		GP     []float64 `json:"gamma_poisson_0_to_4"`
		GPMean float64   `json:"gamma_poisson_mean"`
		GPVar  float64   `json:"gamma_poisson_var"`
	}
	vectors(t, "rates.json")["LE-18"].read(t, &in, &want)
	var all, mean float64
	for y := 0.0; y <= in.BB.N; y++ {
		l := DirichletEvidence([][]float64{{y, in.BB.N - y}}, []float64{in.BB.A, in.BB.B})
		p := math.Exp(l + logChoose(in.BB.N, y))
		all, mean = all+p, mean+y*p
		if int(y) < len(want.BB) {
			within(t, "Beta-binomial", p, want.BB[int(y)], 5e-7)
		}
	}
	within(t, "its sum", all, 1, 1e-12)
	within(t, "its mean", mean, want.BBMean, 1e-12)

	all, mean = 0, 0
	squares := 0.0
	for y := 0.0; y <= 200; y++ {
		group := []Exposed{{y, in.GP.Exposure}}
		p := math.Exp(GammaPoissonEvidence(group, in.GP.Shape, in.GP.Shape/in.GP.Rate) + logPoisson(group))
		all, mean, squares = all+p, mean+y*p, squares+y*y*p
		if int(y) < len(want.GP) {
			within(t, "Gamma-Poisson", p, want.GP[int(y)], 5e-7)
		}
	}
	within(t, "its sum", all, 1, 1e-12)
	within(t, "its mean", mean, want.GPMean, 1e-12)
	within(t, "its variance", squares-mean*mean, want.GPVar, 1e-11)
}
