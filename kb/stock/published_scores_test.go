package stock

import (
	"math"
	"testing"
)

func TestPublishedPinball(t *testing.T) { // SC-05
	var in struct {
		Quantile, Forecast, Actual float64
		List                       struct {
			Quantile, Forecast float64
			Actuals            []float64
		}
	}
	var want struct {
		Plain   float64
		Doubled float64 `json:"doubled_as_in_book"`
		List    []float64
		Mean    float64 `json:"list_mean"`
	}
	published(t, "scores.json", "SC-05", &in, &want)
	near(t, "loss", Pinball(in.Quantile, in.Forecast, in.Actual), want.Plain, 1e-9)
	near(t, "twice the loss", 2*Pinball(in.Quantile, in.Forecast, in.Actual), want.Doubled, 1e-9)
	var sum float64
	for i, y := range in.List.Actuals {
		loss := Pinball(in.List.Quantile, in.List.Forecast, y)
		near(t, "loss in a list", loss, want.List[i], 1e-9)
		sum += loss
	}
	near(t, "mean loss", sum/float64(len(in.List.Actuals)), want.Mean, 1e-9)
}

func TestPublishedMASE(t *testing.T) { // SC-06
	var in struct {
		Train  []int `json:"train_quarterly_1992Q1_2007Q4"`
		Test   []int `json:"test_2008Q1_2010Q2"`
		Season int
	}
	type figures struct{ RMSE, MAE, MAPE, MASE float64 }
	var want struct {
		Scale     float64 `json:"scale_seasonal_naive_mae"`
		Mean      figures
		Naive     figures
		Seasonal  figures `json:"seasonal_naive"`
		Published map[string][]float64
	}
	published(t, "scores.json", "SC-06", &in, &want)
	mae, _ := NaiveErrors(in.Train, in.Season)
	near(t, "scale", mae, want.Scale, 1e-9)
	n := len(in.Train)
	var mean float64
	for _, y := range in.Train {
		mean += float64(y) / float64(n)
	}
	for name, f := range map[string]func(i int) float64{
		"mean":           func(int) float64 { return mean },
		"naive":          func(int) float64 { return float64(in.Train[n-1]) },
		"seasonal_naive": func(i int) float64 { return float64(in.Train[n-in.Season+i%in.Season]) },
	} {
		forecasts := make([]float64, len(in.Test))
		for i := range forecasts {
			forecasts[i] = f(i)
		}
		w := map[string]figures{"mean": want.Mean, "naive": want.Naive, "seasonal_naive": want.Seasonal}[name]
		near(t, name+" MASE", MASE(forecasts, in.Test, mae), w.MASE, 1e-6)
		near(t, name+" MASE as printed", MASE(forecasts, in.Test, mae), want.Published[name][3], 0.005)
		near(t, name+" MAE", MASE(forecasts, in.Test, 1), w.MAE, 1e-6)
		near(t, name+" RMSE", RMSSE(forecasts, in.Test, 1), w.RMSE, 1e-6)
	}
}

func TestPublishedRMSSE(t *testing.T) { // SC-07
	var in struct {
		History, Future []int
		Forecast        float64
	}
	var want struct {
		Scale       float64 `json:"mae_scale"`
		MASE, RMSSE float64
	}
	published(t, "scores.json", "SC-07", &in, &want)
	mae, rmse := NaiveErrors(in.History, 1)
	forecasts := []float64{in.Forecast, in.Forecast, in.Forecast}
	near(t, "scale", mae, want.Scale, 1e-12)
	near(t, "MASE", MASE(forecasts, in.Future, mae), want.MASE, 1e-12)
	near(t, "RMSSE", RMSSE(forecasts, in.Future, rmse), want.RMSSE, 1e-12)
}

func TestPublishedWinkler(t *testing.T) { // SC-08
	var in struct {
		Level, Actual float64
		Interval      [2]float64
	}
	var want struct{ Score float64 }
	published(t, "scores.json", "SC-08", &in, &want)
	near(t, "score", Winkler(in.Interval[0], in.Interval[1], in.Actual, in.Level), want.Score, 1e-12)
	near(t, "score below", Winkler(in.Interval[0], in.Interval[1], 2*in.Interval[0]-in.Actual+10, in.Level), want.Score, 1e-12)
	near(t, "score inside", Winkler(in.Interval[0], in.Interval[1], 15, in.Level), 10, 1e-12)
}

func TestNaiveErrorsUnknown(t *testing.T) {
	mae, rmse := NaiveErrors([]int{1, Unknown, 3, 5}, 1)
	near(t, "over known months", mae, 2, 0)
	near(t, "over known months", rmse, 2, 0)
	if mae, _ := NaiveErrors([]int{1}, 1); !math.IsNaN(mae) {
		t.Errorf("one month has naive errors of %g", mae)
	}
}
