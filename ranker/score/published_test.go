package score

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// published reads one example of ../../testdata/scoring, where its source
// stands beside its figures.
func published(t *testing.T, file, id string, inputs, expected any) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "scoring", file))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		ID, Source       string
		Inputs, Expected json.RawMessage
	}
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatal(err)
	}
	for _, x := range list {
		if x.ID != id {
			continue
		}
		if x.Source == "" {
			t.Errorf("%s has no source", id)
		}
		if err := json.Unmarshal(x.Inputs, inputs); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(x.Expected, expected); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Fatalf("%s has no example %s", file, id)
}

// tolerance of all published figures.
const tolerance = 1e-12

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %v, published %v", what, got, want)
	}
}

// TestBriersExample: ten forecasts of rain (SC-01). Brier summed over both
// classes; today's score of a yes-or-no question is half of it.
func TestBriersExample(t *testing.T) {
	var in struct {
		P    []float64 `json:"P_rain"`
		Rain []int     `json:"rain"`
	}
	var want struct {
		Two    float64 `json:"two_class_score"`
		Half   float64 `json:"half_form_used_today"`
		Murphy struct{ Reliability, Resolution, Uncertainty float64 }
	}
	published(t, "brier.json", "SC-01", &in, &want)
	b := Distinct()
	var sum float64
	for i, p := range in.P {
		sum += Brier([]float64{1 - p, p}, in.Rain[i])
		b.Add(p, float64(in.Rain[i]), 1)
	}
	near(t, "the score of two classes", sum/float64(len(in.P)), want.Two)
	got := b.Parts()
	near(t, "the half form", got.Brier, want.Half)
	near(t, "reliability", got.Reliability, want.Murphy.Reliability)
	near(t, "resolution", got.Resolution, want.Murphy.Resolution)
	near(t, "uncertainty", got.Uncertainty, want.Murphy.Uncertainty)
	near(t, "what the bins hide", got.WithinVariance-got.WithinCovariance, 0)
}

// TestBrierOfOneForecast: worked values of yes-or-no forecasts (SC-02).
func TestBrierOfOneForecast(t *testing.T) {
	var in struct{ Cases [][2]float64 }
	var want struct{ Score []float64 }
	published(t, "brier.json", "SC-02", &in, &want)
	for i, x := range in.Cases {
		b := Distinct()
		b.Add(x[0], x[1], 1)
		near(t, "the score", b.Parts().Brier, want.Score[i])
		near(t, "half the score of two classes", Brier([]float64{1 - x[0], x[0]}, int(x[1]))/2, want.Score[i])
	}
}

// TestMurphy: 40 forecasts of four values (SC-03), in bins of one value and in
// ten of equal width, which here hold one value each.
func TestMurphy(t *testing.T) {
	var in struct {
		Forecasts, Events []float64
		Times             int `json:"times_each"`
	}
	var want struct {
		Brier, Reliability, Resolution, Uncertainty, Skill, ECE, MCE float64
		Bits                                                         float64 `json:"log_score_bits"`
		Nats                                                         float64 `json:"log_score_nats"`
	}
	published(t, "murphy.json", "SC-03", &in, &want)
	for name, b := range map[string]*Bins{"one value": Distinct(), "equal width": EqualWidth(10)} {
		t.Run(name, func(t *testing.T) {
			var bits, n float64
			for i, p := range in.Forecasts {
				for k := range in.Times {
					yes := 0
					if float64(k) < in.Events[i] {
						yes = 1
					}
					b.Add(p, float64(yes), 1)
					bits += LogLoss([]float64{1 - p, p}, yes)
					n++
				}
			}
			got := b.Parts()
			near(t, "the Brier score", got.Brier, want.Brier)
			near(t, "reliability", got.Reliability, want.Reliability)
			near(t, "resolution", got.Resolution, want.Resolution)
			near(t, "uncertainty", got.Uncertainty, want.Uncertainty)
			near(t, "skill", 1-got.Brier/got.Uncertainty, want.Skill)
			near(t, "variance within bins", got.WithinVariance, 0)
			near(t, "covariance within bins", got.WithinCovariance, 0)
			near(t, "the calibration error", b.CalibrationError(), want.ECE)
			near(t, "the largest error", b.LargestError(), want.MCE)
			near(t, "the log loss in bits", bits/n, want.Bits)
			near(t, "the log loss in nats", bits/n*math.Ln2, want.Nats)
		})
	}
}

// TestSeveralCauses: three forecasts of three causes (SC-04). Causes have no
// order, so the ranked score beside it in the literature is of no use here.
func TestSeveralCauses(t *testing.T) {
	var in struct {
		Forecasts [][]float64
		Truth     []int `json:"true_index"`
	}
	var want struct {
		Brier float64 `json:"brier_multiclass"`
		Nats  float64 `json:"log_nats"`
	}
	published(t, "causes.json", "SC-04", &in, &want)
	var sum Scores
	all := EqualWidth(binCount)
	for i, f := range in.Forecasts {
		s := scoresOf(f, in.Truth[i:i+1])
		sum = sum.plus(s)
		(&asked{EqualWidth(1), all}).ask(f, in.Truth[i:i+1])
	}
	n := len(in.Forecasts)
	mean := sum.over(float64(n))
	near(t, "Brier", mean.Brier, want.Brier)
	near(t, "log loss", mean.LogLoss*math.Ln2, want.Nats)
	parts := calibrated(all, n).Parts
	near(t, "Brier from all causes' yes-or-no forecasts", parts.Brier, want.Brier)
	near(t, "its parts", parts.Reliability-parts.Resolution+parts.Uncertainty+parts.WithinVariance-parts.WithinCovariance, want.Brier)
	near(t, "uncertainty", parts.Uncertainty, 2./3) // of who holds three causes equally likely
}
