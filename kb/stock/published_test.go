package stock

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// published reads one entry of a file of published figures. Each entry names
// its source, and whether a figure is from memory.
func published(t *testing.T, file, id string, inputs, expected any) {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/stock/" + file)
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
	for _, v := range list {
		if v.ID != id {
			continue
		}
		if v.Source == "" {
			t.Fatalf("%s has no source", id)
		}
		if err := json.Unmarshal(v.Inputs, inputs); err != nil {
			t.Fatalf("%s inputs: %v", id, err)
		}
		if err := json.Unmarshal(v.Expected, expected); err != nil {
			t.Fatalf("%s expected: %v", id, err)
		}
		return
	}
	t.Fatalf("%s is not in %s", id, file)
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.12g, published %.12g (within %g)", what, got, want, tolerance)
	}
}

func TestPublishedEOQ(t *testing.T) { // DS-06
	var in map[string]struct{ K, H, P, Demand float64 }
	var want map[string]struct {
		Q, Cost float64
		Waits   float64 `json:"backorder_fraction"`
	}
	published(t, "policies.json", "DS-06", &in, &want)
	for _, id := range []string{"ex3.1", "prob3.1"} {
		q, cost := EOQ(in[id].K, in[id].H, in[id].Demand)
		near(t, id+" quantity", q, want[id].Q, 1e-9)
		near(t, id+" cost", cost, want[id].Cost, 1e-9*cost)
	}
	x := in["ex3.8_backorders"]
	q, waits, cost := EOQBackorders(x.K, x.H, x.P, x.Demand)
	near(t, "quantity with backorders", q, want["ex3.8"].Q, 1e-9)
	near(t, "share that waits", waits, want["ex3.8"].Waits, 1e-9)
	near(t, "cost with backorders", cost, want["ex3.8"].Cost, 1e-9)
}

func TestPublishedNewsvendor(t *testing.T) { // DS-07, DS-08, DS-15
	var in struct{ H, P, Mean, SD float64 }
	var want struct {
		Ratio float64 `json:"critical_ratio"`
		S     float64
		Cost  float64
		At60  float64 `json:"cost_at_60"`
	}
	published(t, "policies.json", "DS-07", &in, &want)
	near(t, "critical ratio", CriticalRatio(in.H, in.P), want.Ratio, 1e-12)
	s, cost := NewsvendorNormal(in.Mean, in.SD, in.H, in.P)
	near(t, "stock", s, want.S, 1e-9)
	near(t, "cost", cost, want.Cost, 1e-9)
	near(t, "cost at 60", NewsvendorCostNormal(in.Mean, in.SD, in.H, in.P, 60), want.At60, 1e-9)

	var poisson struct {
		Cases []struct {
			H, P, Mean float64
			LeadTime   float64 `json:"lead_time"`
		}
	}
	var least struct {
		S    []int
		Cost []float64
		At5  float64 `json:"case2_cost_at_S5"`
	}
	published(t, "policies.json", "DS-08", &poisson, &least)
	for i, c := range poisson.Cases {
		d := Poisson(c.Mean * (c.LeadTime + 1)) // the base stock covers the lead time and a period
		s, cost := Newsvendor(d, c.H, c.P)
		near(t, "stock", float64(s), float64(least.S[i]), 0)
		near(t, "cost", cost, least.Cost[i], 1e-8)
	}
	near(t, "cost at 5", NewsvendorCost(Poisson(6), 1, 4, 5), least.At5, 1e-8)

	var stand struct{ Overage, Underage, Mean, SD float64 }
	var papers struct{ Q float64 }
	published(t, "policies.json", "DS-15", &stand, &papers)
	q, _ := NewsvendorNormal(stand.Mean, stand.SD, stand.Overage, stand.Underage)
	near(t, "papers", q, papers.Q, 1e-9)
}

func TestPublishedRQ(t *testing.T) { // DS-10
	var in map[string]struct {
		H, P, K, Demand float64
		LeadTime        float64 `json:"lead_time"`
	}
	var want map[string]struct {
		R, Q int
		Cost float64
	}
	published(t, "policies.json", "DS-10", &in, &want)
	for id, x := range in {
		lead := Poisson(x.Demand * x.LeadTime)
		got := OptimalRQ(x.K, x.Demand, 1000, len(lead), Backordered(lead, x.H, x.P))
		if got.Reorder != want[id].R || got.Quantity != want[id].Q {
			t.Errorf("%s: order %d at %d, published %d at %d", id, got.Quantity, got.Reorder, want[id].Q, want[id].R)
		}
		near(t, id, got.Cost, want[id].Cost, 1e-9*got.Cost)
	}
}

func TestPublishedSS(t *testing.T) { // DS-11
	var in map[string]struct{ H, P, K, Mean float64 }
	// "s" and "S" differ in case only, which encoding/json does not tell apart.
	var raw map[string]map[string]float64
	published(t, "policies.json", "DS-11", &in, &raw)
	for id, x := range in {
		got := OptimalSS(Poisson(x.Mean), x.K, x.H, x.P)
		near(t, id+" reorder", float64(got.Reorder), raw[id]["s"], 0)
		near(t, id+" up to", float64(got.UpTo), raw[id]["S"], 0)
		near(t, id+" cost", got.Cost, raw[id]["cost"], 1e-9*got.Cost)
	}
}

// normal is a normal distribution in whole pieces: the chance of n is that of
// n-1/2 to n+1/2.
func normal(mean, sd float64) Distribution {
	d := make(Distribution, int(mean+8*sd)+1)
	for n := range d {
		d[n] = normalCDF((float64(n)+0.5-mean)/sd) - normalCDF((float64(n)-0.5-mean)/sd)
	}
	return d.normalised()
}

// TestPublishedShop: the shop example with order size and reorder point. The
// penalty for what is missing gives 111 at 143; 98 % of the pieces from the
// shelf need a reorder point of 126, but 98 % of the cycles without running
// empty one of 151.3, so 152 whole pieces (DS-13, DS-14).
func TestPublishedShop(t *testing.T) {
	var in struct {
		K, H, Penalty float64
		Rate          float64 `json:"demand_per_year"`
		Mean          float64 `json:"lead_time_demand_mean"`
		SD            float64 `json:"lead_time_demand_sd"`
	}
	var want struct {
		Converged  map[string]float64
		Cycle      float64                `json:"P_no_stockout_per_cycle"`
		Fill       float64                `json:"fill_rate"`
		PublishedQ struct{ Q, R float64 } `json:"published"`
	}
	published(t, "policies.json", "DS-13", &in, &want)
	lead := normal(in.Mean, in.SD)
	got := OptimalRQ(in.K, in.Rate, 1000, len(lead), PaidOnce(lead, in.H, in.Penalty, in.Rate))
	near(t, "quantity", float64(got.Quantity), want.PublishedQ.Q, 1)
	near(t, "reorder point", float64(got.Reorder), want.PublishedQ.R, 1)
	s := NewService(lead, Certain(1), int(want.PublishedQ.R), int(want.PublishedQ.Q))
	near(t, "cycle service", s.Cycle, want.Cycle, 0.005)
	near(t, "fill rate", s.Fill, want.Fill, 0.0005)

	var targets struct{ Alpha, Beta float64 }
	var points struct {
		Fill struct{ R float64 } `json:"type2_Q_fixed_100"`
		R    float64             `json:"type1_R"`
	}
	published(t, "policies.json", "DS-14", &targets, &points)
	near(t, "for the fill rate", float64(ForFill(lead, Certain(1), targets.Beta, 100)), math.Ceil(points.Fill.R), 0)
	near(t, "for the cycle service", float64(ReorderPoint(lead, targets.Alpha)), math.Ceil(points.R), 1)
}

func TestPublishedSparePool(t *testing.T) { // DS-16, DS-17
	var in struct{ M []float64 }
	var want struct {
		EBO, Fill map[string][]float64
	}
	published(t, "policies.json", "DS-16", &in, &want)
	name := map[float64]string{0.5: "0.5", 1: "1", 2: "2", 4: "4"}
	for _, m := range in.M {
		d := Poisson(m)
		for s, v := range want.EBO[name[m]] {
			near(t, "backorders", d.Short(s), v, 5e-7)
		}
		for s, v := range want.Fill[name[m]] {
			near(t, "fill rate", NewService(d, Certain(1), s-1, 1).Fill, v, 5e-7)
		}
	}
	var load struct{ Cases [][2]float64 }
	var erlang struct{ Loss []float64 }
	published(t, "policies.json", "DS-17", &load, &erlang)
	for i, c := range load.Cases {
		near(t, "loss", ErlangLoss(c[0], int(c[1])), erlang.Loss[i], 5e-7)
	}
}

func TestPublishedLoss(t *testing.T) { // DS-18
	var in struct {
		Poisson struct{ X, Mean float64 }
		Negbin  struct{ X, R, P float64 }
		Moments struct{ X, Mean, SD float64 } `json:"negbin_by_moments"`
	}
	var want struct {
		Poisson struct{ N, NBar float64 }
		Negbin  struct{ N, NBar float64 }
		Moments struct{ R, P, N, NBar float64 } `json:"negbin_by_moments"`
	}
	published(t, "policies.json", "DS-18", &in, &want)
	d := Poisson(in.Poisson.Mean)
	near(t, "Poisson short", d.Short(int(in.Poisson.X)), want.Poisson.N, 1e-9)
	near(t, "Poisson left", d.Left(int(in.Poisson.X)), want.Poisson.NBar, 1e-9)
	d = NegativeBinomial(in.Negbin.R, in.Negbin.R*(1-in.Negbin.P)/in.Negbin.P)
	near(t, "negative binomial short", d.Short(int(in.Negbin.X)), want.Negbin.N, 1e-9)
	near(t, "negative binomial left", d.Left(int(in.Negbin.X)), want.Negbin.NBar, 1e-9)
	d = NegativeBinomial(want.Moments.R, in.Moments.Mean)
	near(t, "by moments: deviation", d.SD(), in.Moments.SD, 1e-6)
	near(t, "by moments: short", d.Short(int(in.Moments.X)), want.Moments.N, 1e-8)
	near(t, "by moments: left", d.Left(int(in.Moments.X)), want.Moments.NBar, 1e-8)
}

func TestPublishedLevels(t *testing.T) { // DS-19
	var in struct {
		Means   []float64 `json:"poisson_means"`
		Targets []float64
	}
	var want struct {
		Poisson   [][]int   `json:"poisson_S"`
		CDF       []float64 `json:"negbin_cdf_0_to_7"`
		S95       int       `json:"negbin_S95"`
		EBO       []float64 `json:"negbin_EBO_0_to_7"`
		Stutter   []float64 `json:"stuttering_pmf_0_to_6"`
		Mean      float64   `json:"stuttering_mean"`
		Var       float64   `json:"stuttering_var"`
		StutterS  []int     `json:"stuttering_S"`
		PoissonS2 int       `json:"poisson_mean2_S95"`
	}
	published(t, "policies.json", "DS-19", &in, &want)
	for i, mean := range in.Means {
		for j, target := range in.Targets {
			near(t, "Poisson level", float64(ReorderPoint(Poisson(mean), target)), float64(want.Poisson[i][j]), 0)
		}
	}
	near(t, "Poisson level of 2", float64(ReorderPoint(Poisson(2), 0.95)), float64(want.PoissonS2), 0)
	nb := NegativeBinomial(2, 2)
	for n, v := range want.CDF {
		near(t, "negative binomial", nb.CDF(n), v, 5e-7)
		near(t, "negative binomial short", nb.Short(n), want.EBO[n], 5e-7)
	}
	near(t, "negative binomial level", float64(ReorderPoint(nb, 0.95)), float64(want.S95), 0)

	geometric := Distribution{0}
	for p := 0.6; p > 1e-16; p *= 0.4 {
		geometric = append(geometric, p)
	}
	st := Compound(Uses{math.Inf(1), 0.4}, geometric)
	for n, v := range want.Stutter {
		near(t, "stuttering", st.At(n), v, 5e-7)
	}
	near(t, "stuttering mean", st.Mean(), want.Mean, 1e-9)
	near(t, "stuttering variance", st.SD()*st.SD(), want.Var, 1e-8)
	for j, target := range in.Targets {
		near(t, "stuttering level", float64(ReorderPoint(st, target)), float64(want.StutterS[j]), 0)
	}
}
