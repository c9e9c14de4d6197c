package learn

import (
	"encoding/json"
	"math"
	"os"
	"testing"
	"time"

	"sootsayer/kb"
)

// vectors reads a file of published figures, each entry with its source.
func vectors(t *testing.T, file string) map[string]vector {
	t.Helper()
	data, err := os.ReadFile("../../testdata/learning/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var list []vector
	if err := json.Unmarshal(data, &list); err != nil {
		t.Fatal(err)
	}
	by := make(map[string]vector)
	for _, v := range list {
		if v.Source == "" {
			t.Errorf("%s has no source", v.ID)
		}
		by[v.ID] = v
	}
	return by
}

type vector struct {
	ID, Source       string
	Inputs, Expected json.RawMessage
}

func (v vector) read(t *testing.T, inputs, expected any) {
	t.Helper()
	if err := json.Unmarshal(v.Inputs, inputs); err != nil {
		t.Fatalf("%s inputs: %v", v.ID, err)
	}
	if err := json.Unmarshal(v.Expected, expected); err != nil {
		t.Fatalf("%s expected: %v", v.ID, err)
	}
}

// girlsBase is a family with two causes and one symptom. A Beta(strength x
// share, strength x (1-share)) prior stands wherever the base has one: the
// share of cause "girl", unlisted, second fault, and the symptom's table.
func girlsBase(strength, share float64) *kb.Base {
	b := &kb.Base{Schema: 1, Settings: kb.Settings{Strength: strength, TableStrength: strength, Unlisted: share, SecondFault: share},
		Families: []kb.Family{{ID: "birth"}},
		Causes: []kb.Cause{
			{ID: "girl", Share: map[string]float64{"birth": share}, Fix: "none"},
			{ID: "boy", Share: map[string]float64{"birth": 1 - share}, Fix: "none"}},
		Fixes: []kb.Fix{{ID: "none"}},
		Symptoms: []kb.Symptom{{ID: "sign", Families: []string{"birth"}, Minutes: 1,
			Normally: kb.Table{{Outcome: kb.No, P: 1 - share}, {Outcome: kb.Yes, P: share}},
			If:       kb.Rows{{Cause: "girl", Table: kb.Table{{Outcome: kb.No, P: 1 - share}, {Outcome: kb.Yes, P: share}}}}}}}
	b.Reindex()
	return b
}

// times counts n jobs that ended alike.
func times(c *Counts, n int, sign string, causes ...string) {
	j := &kb.Job{Family: "birth", Closing: &kb.Closing{At: epoch, Causes: causes, Confidence: 1}}
	if sign != "" {
		j.Acts = []kb.Act{saw(kb.KindSymptom, "sign", sign)}
	}
	for range n {
		c.Add(j)
	}
}

// posteriors counts `hits` of `trials` in each of the ways that the base can be
// told, and returns for each the posterior mean.
func posteriors(t *testing.T, strength, share float64, hits, trials int) map[string]float64 {
	t.Helper()
	b := girlsBase(strength, share)
	shares, second, tables := New(b), New(b), New(b)
	times(shares, hits, "", "girl")
	times(shares, trials-hits, "", "boy")
	unlisted := New(b)
	times(unlisted, hits, "", kb.Unlisted)
	times(unlisted, trials-hits, "", "boy")
	times(second, hits, "", "girl", "boy")
	times(second, trials-hits, "", "boy")
	for _, cause := range []string{"girl", "boy"} { // the row's own cause, and one without a row
		times(tables, hits, kb.Yes, cause)
		times(tables, trials-hits, kb.No, cause)
	}
	model := func(c *Counts) *kb.Model {
		m, err := c.Model(b, "birth", "", epoch)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	table := model(tables).Observables[0]
	return map[string]float64{"share": model(shares).Causes[0].Share, "unlisted": model(unlisted).Unlisted,
		"second fault": model(second).SecondFault, "row": table.Rows[0].P[1], "normally": table.Normally[1],
		"prior": prior(t, shares, b, "girl").Now, "prior of unlisted": prior(t, unlisted, b, kb.Unlisted).Now}
}

func prior(t *testing.T, c *Counts, b *kb.Base, id string) Prior {
	t.Helper()
	for _, p := range c.Priors(b, "birth", "", epoch) {
		if p.ID == id {
			return p
		}
	}
	t.Fatalf("no prior of %q", id)
	return Prior{}
}

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %v, published %v", what, got, want)
	}
}

// TestPlacentaPrevia: 437 girls of 980 births with a uniform prior (LE-01).
func TestPlacentaPrevia(t *testing.T) {
	var in struct{ Girls, Births int }
	var want struct {
		Mean, Median float64
		CI95         [2]float64
		Below        float64 `json:"P(theta<0.485)"`
		Published    struct {
			Mean, Median float64
			CI95         [2]float64
		}
	}
	vectors(t, "beta-binomial.json")["LE-01"].read(t, &in, &want)
	for what, mean := range posteriors(t, 2, 0.5, in.Girls, in.Births) {
		within(t, what, mean, want.Published.Mean, 0.0005)
		within(t, what, mean, want.Mean, 1e-12)
	}
	a, b := float64(in.Girls+1), float64(in.Births-in.Girls+1)
	low, high := Interval(a, b, 0.95)
	within(t, "low", low, want.Published.CI95[0], 0.0005)
	within(t, "high", high, want.Published.CI95[1], 0.0005)
	within(t, "low", low, want.CI95[0], 1e-7)
	within(t, "high", high, want.CI95[1], 1e-7)
	median, _ := Interval(a, b, 0)
	within(t, "median", median, want.Published.Median, 0.0005)
	within(t, "median", median, want.Median, 1e-7)
	_, ends := Interval(a, b, 2*want.Below-1)
	within(t, "quantile of P(theta<0.485)", ends, 0.485, 1e-7)

	// The 90 % interval that people are shown lies inside the 95 % one and is
	// the same by either road.
	base := girlsBase(2, 0.5)
	c := New(base)
	times(c, in.Girls, "", "girl")
	times(c, in.Births-in.Girls, "", "boy")
	p := prior(t, c, base, "girl")
	low90, high90 := Interval(a, b, 0.90)
	if p.Low != low90 || p.High != high90 || !(low < p.Low && p.High < high) || p.Jobs != in.Girls || p.Weighted != float64(in.Girls) || p.Start != 0.5 {
		t.Errorf("%+v, want an interval of %v to %v", p, low90, high90)
	}
}

// TestPlacentaPreviaPriors: the same births with seven priors (LE-02).
func TestPlacentaPreviaPriors(t *testing.T) {
	var in struct {
		Girls, Boys int
		Priors      [][2]float64 `json:"priors_mean_size"`
	}
	var want struct {
		Median          []float64
		CI95            [][2]float64
		PublishedMedian []float64    `json:"published_median"`
		PublishedCI95   [][2]float64 `json:"published_ci95"`
	}
	vectors(t, "beta-binomial.json")["LE-02"].read(t, &in, &want)
	for i, row := range in.Priors {
		share, strength := row[0], row[1]
		base := girlsBase(strength, share)
		c := New(base)
		times(c, in.Girls, "", "girl")
		times(c, in.Boys, "", "boy")
		p := prior(t, c, base, "girl")
		a, b := strength*share+float64(in.Girls), strength*(1-share)+float64(in.Boys)
		within(t, "mean", p.Now, a/(a+b), 1e-14)
		low90, high90 := Interval(a, b, 0.9)
		within(t, "90 % low", p.Low, low90, 1e-12)
		within(t, "90 % high", p.High, high90, 1e-12)
		median, _ := Interval(a, b, 0)
		low, high := Interval(a, b, 0.95)
		// Mean and median of a Beta this narrow and central are 1e-4 apart.
		within(t, "mean by the published median", p.Now, want.PublishedMedian[i], 0.0007)
		within(t, "median", median, want.PublishedMedian[i], 0.0006)
		within(t, "low", low, want.PublishedCI95[i][0], 0.0006)
		within(t, "high", high, want.PublishedCI95[i][1], 0.0006)
		within(t, "median", median, want.Median[i], 5.1e-5)
		within(t, "low", low, want.CI95[i][0], 5.1e-5)
		within(t, "high", high, want.CI95[i][1], 5.1e-5)
	}
}

// TestRuleOfSuccession: (s+1)/(n+2), up to Laplace's sunrises (LE-13). They are
// 1826213 jobs, so they are added up by doubling.
func TestRuleOfSuccession(t *testing.T) {
	var in struct{ Successes int }
	var want struct {
		Probability, Odds float64
		ZeroOfZero        float64 `json:"zero_of_zero"`
		ThreeOfThree      float64 `json:"three_of_three"`
	}
	vectors(t, "beta-binomial.json")["LE-13"].read(t, &in, &want)
	for what, mean := range posteriors(t, 2, 0.5, 0, 0) {
		within(t, what, mean, want.ZeroOfZero, 0)
	}
	for what, mean := range posteriors(t, 2, 0.5, 3, 3) {
		within(t, what, mean, want.ThreeOfThree, 1e-15)
	}
	base := girlsBase(2, 0.5)
	all, power := New(base), New(base)
	times(power, 1, "", "girl")
	for n := in.Successes; n > 0; n /= 2 {
		if n%2 == 1 {
			if err := all.Merge(power); err != nil {
				t.Fatal(err)
			}
		}
		if err := power.Merge(power); err != nil {
			t.Fatal(err)
		}
	}
	p := prior(t, all, base, "girl")
	within(t, "sunrise", p.Now, want.Probability, 1e-15)
	within(t, "odds", p.Now/(1-p.Now), want.Odds, 1e-3)
	if p.Jobs != in.Successes {
		t.Errorf("%d jobs, want %d", p.Jobs, in.Successes)
	}
}

// lettersBase is a family whose causes are a, b, c and so on.
func lettersBase(shares ...float64) *kb.Base {
	b := &kb.Base{Schema: 1, Families: []kb.Family{{ID: "birth"}}, Fixes: []kb.Fix{{ID: "none"}}}
	for i, w := range shares {
		b.Settings.Strength += w
		b.Causes = append(b.Causes, kb.Cause{ID: string(rune('A' + i)), Share: map[string]float64{"birth": w}, Fix: "none"})
	}
	b.Reindex()
	return b
}

// TestDirichlet: a prior plus closed jobs over four causes (LE-17).
func TestDirichlet(t *testing.T) {
	var in struct {
		Prior []float64
		Jobs  []int
	}
	var want struct {
		Mean     []float64 `json:"posterior_mean"`
		Evidence float64   `json:"log_evidence_without_coefficient"`
	}
	vectors(t, "dirichlet.json")["LE-17"].read(t, &in, &want)
	b := lettersBase(in.Prior...)
	c := New(b)
	for i, n := range in.Jobs {
		times(c, n, "", b.Causes[i].ID)
	}
	m, err := c.Model(b, "birth", "", epoch)
	if err != nil {
		t.Fatal(err)
	}
	jobs := make([]float64, len(in.Jobs))
	for i, mc := range m.Causes {
		within(t, mc.ID, mc.Share, want.Mean[i], 1e-12)
		jobs[i] = float64(in.Jobs[i])
	}
	within(t, "log evidence", DirichletEvidence([][]float64{jobs}, in.Prior), want.Evidence, 1e-12)
}

// TestForgetting: old jobs count less (LE-14).
func TestForgetting(t *testing.T) {
	var in struct {
		Lambda      []float64
		Constructed struct {
			Jobs [][2]any `json:"jobs_age_cause"`
		}
	}
	var want struct {
		HalfLife    []float64 `json:"half_life"`
		Days1       []float64 `json:"days_to_1pct"`
		Constructed struct {
			Weights  map[string]float64
			Mean     map[string]float64 `json:"posterior_mean"`
			HalfLife float64            `json:"half_life_months"`
		}
	}
	vectors(t, "forgetting.json")["LE-14"].read(t, &in, &want)
	months := func(n float64) time.Duration { return time.Duration(n * yearSeconds / 12 * 1e9) }
	b := lettersBase(1, 1, 1)
	b.Settings.HalfLifeYears = want.Constructed.HalfLife / 12
	c := New(b)
	for _, j := range in.Constructed.Jobs {
		closing := &kb.Closing{At: now.Add(-months(j[0].(float64))), Causes: []string{j[1].(string)}, Confidence: 1}
		c.Add(&kb.Job{Family: "birth", Closing: closing})
	}
	for _, p := range c.Priors(b, "birth", "", now) {
		if p.ID != kb.Unlisted {
			within(t, "weight of "+p.ID, p.Weighted, want.Constructed.Weights[p.ID], 1e-9)
			within(t, "share of "+p.ID, p.Now, want.Constructed.Mean[p.ID], 1e-9)
		}
	}
	day := func(n float64) time.Time { return now.Add(time.Duration(n * 24 * 60 * 60 * 1e9)) }
	for i, lambda := range in.Lambda {
		b.Settings.HalfLifeYears = want.HalfLife[i] * 86400 / yearSeconds
		c := New(b)
		within(t, "a day", c.Now(day(1))/c.Now(now), lambda, 1e-9)
		within(t, "days to 1 %", c.Now(day(want.Days1[i]))/c.Now(now), 0.01, 1e-9)
	}
}

// TestIntervalAgainstIntegral compares the interval with the Beta density
// integrated numerically, and with its limits.
func TestIntervalAgainstIntegral(t *testing.T) {
	for _, p := range [][2]float64{{1, 1}, {3, 1}, {2.5, 40}, {12, 7}, {31, 1500}, {438, 544}} {
		a, b := p[0], p[1]
		low, high := Interval(a, b, 0.9)
		within(t, "below low", integral(a, b, low), 0.05, 1e-6)
		within(t, "below high", integral(a, b, high), 0.95, 1e-6)
	}
	for _, l := range []struct{ a, b, low, high float64 }{{0, 0, 0, 1}, {0, 5, 0, 0}, {5, 0, 1, 1}} {
		if low, high := Interval(l.a, l.b, 0.9); low != l.low || high != l.high {
			t.Errorf("Interval(%v, %v) is %v to %v", l.a, l.b, low, high)
		}
	}
}

// integral is the Beta(a, b) distribution function at x by Simpson's rule, for
// a and b of 1 and more.
func integral(a, b, x float64) float64 {
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	density := func(x float64) float64 { return math.Exp(lab-la-lb) * math.Pow(x, a-1) * math.Pow(1-x, b-1) }
	if lab-la-lb > 300 { // keep large parameters in logarithms
		density = func(x float64) float64 { return math.Exp(lab - la - lb + (a-1)*math.Log(x) + (b-1)*math.Log1p(-x)) }
	}
	const n = 20000
	h, sum := x/n, 0.0
	for i := 1; i < n; i++ {
		sum += float64(2+2*(i%2)) * density(float64(i)*h)
	}
	ends := density(x)
	if a == 1 {
		ends += density(0)
	}
	return (sum + ends) * h / 3
}
