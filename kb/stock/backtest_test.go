package stock

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestBacktest(t *testing.T) {
	parts := invented(80, 30)
	at := Origins{Last: parts[0].Last(), Count: 2, Every: 3, Window: 3}
	scores := Backtest(parts, Options{Workers: 2}, at)
	var names []string
	for i, s := range scores {
		names = append(names, s.Method)
		if i > 0 && s.Pinball["mean"] < scores[i-1].Pinball["mean"] {
			t.Errorf("%s stands behind %s though it lost less", s.Method, scores[i-1].Method)
		}
		mean := (s.Pinball["0.5"] + s.Pinball["0.9"] + s.Pinball["0.95"]) / 3
		near(t, s.Method+" mean loss", s.Pinball["mean"], mean, 1e-12)
		for _, c := range []map[string]float64{s.Coverage, s.Expected, s.Ahead.Coverage, s.Ahead.Expected} {
			if !(c["0.5"] <= c["0.9"] && c["0.9"] <= c["0.95"] && c["0.95"] <= 1 && c["0.5"] > 0) {
				t.Errorf("%s covers %v", s.Method, c)
			}
		}
		if q := s.Expected["0.9"]; q < 0.9 {
			t.Errorf("%s expects its 0.9 quantile to cover %g", s.Method, q)
		}
		if s.Ahead.Months != 3 || s.MASE <= 0 || s.RMSSE <= 0 {
			t.Errorf("%s: %+v", s.Method, s)
		}
		if s.Method == Chosen && (s.Parts != 80 || s.Forecasts != 80*6 || s.Ahead.Forecasts != 160) {
			t.Errorf("%d parts, %d forecasts, %d of three months", s.Parts, s.Forecasts, s.Ahead.Forecasts)
		}
	}
	for _, name := range []string{Chosen, "tsb", "smoothing", "seasonal", "discounted", "pooled", "levels"} {
		if !slices.Contains(names, name) {
			t.Errorf("no score of %s among %v", name, names)
		}
	}
}

// TestBacktestDoesNotLookAhead: what comes after the last month scored changes
// nothing.
func TestBacktestDoesNotLookAhead(t *testing.T) {
	parts := invented(30, 24)
	at := Origins{Last: parts[0].First + 17, Count: 1, Every: 3, Window: 3}
	want := Backtest(parts, Options{}, at)
	for i := range parts {
		parts[i].Pieces = slices.Clone(parts[i].Pieces)
		for m := 18; m < 24; m++ {
			parts[i].Pieces[m] = 20 + i
		}
	}
	if diff := cmp.Diff(want, Backtest(parts, Options{}, at)); diff != "" {
		t.Fatal(diff)
	}
}

// TestBacktestScoresByHand: one part, whose forecasts are put together here.
func TestBacktestScoresByHand(t *testing.T) {
	h := History{Part: "p", First: 24000, Pieces: []int{1, 0, 2, 1, 0, 1, 1, 0, Unknown, 3}}
	before := h.Until(24005)
	m := Smoothing{0.1, usual}
	mae, rmse := NaiveErrors(before.Pieces, 1)
	got := score(before.through(m.Begin()), &before, &h, 4, 2, mae, rmse)
	var s sums
	var means []float64
	for _, i := range []int{6, 7, 9} {
		past := h.Until(h.First + Month(i) - 1)
		d := past.through(m.Begin()).Ahead(WholeMonths(h.First+Month(i), 1), nil)
		for k, q := range Quantiles {
			s.pinball[k] += Pinball(q, float64(d.Quantile(q)), float64(h.Pieces[i]))
			if h.Pieces[i] <= d.Quantile(q) {
				s.covered[k]++
			}
		}
		means = append(means, d.Mean())
	}
	for k := range Quantiles {
		near(t, "loss", got.pinball[k], s.pinball[k], 1e-12)
		near(t, "covered", got.covered[k], s.covered[k], 0)
	}
	near(t, "months", got.months, 3, 0)
	near(t, "windows", got.windows, 1, 0)
	near(t, "MASE", got.mase, (math.Abs(means[0]-1)+means[1]+math.Abs(means[2]-3))/3/mae, 1e-12)
}

func TestBacktestWithoutPast(t *testing.T) {
	parts := invented(3, 4)
	if got := Backtest(parts, Options{}, Origins{Last: parts[0].Last(), Count: 1, Every: 4}); len(got) != 0 {
		t.Errorf("scores without a past: %+v", got)
	}
	if got := Backtest(nil, Options{}, Origins{Count: 1, Every: 1}); len(got) != 0 {
		t.Errorf("scores of no parts: %+v", got)
	}
}
