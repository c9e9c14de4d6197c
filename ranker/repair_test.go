package ranker

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestRepairOrderPublished: expected cost of repair in p/C order (Kadane and
// Simon 1977; Heckerman, Breese and Rommelse 1995), with escalation, and the
// check that pays before a repair. The numbers were constructed and brute-forced
// for these rules.
func TestRepairOrderPublished(t *testing.T) {
	type example struct {
		P, C        []float64
		RepairCost  []float64 `json:"repair_cost"`
		ServiceCost float64   `json:"service_cost"`
		CheckCost   float64   `json:"check_cost"`
		Positive    []float64 `json:"P(positive|fault)"`
	}
	base := func(x example, costs []float64, unlisted, escalation float64) *kb.Base {
		b := plainBase()
		b.Settings.Unlisted = unlisted
		b.Settings.EscalationMinutes = escalation
		for i, p := range x.P {
			addCause(b, fmt.Sprintf("x%d", i), p, fmt.Sprintf("f%d", i), costs[i])
		}
		return b
	}
	var one example
	var oneWant struct {
		ECR float64 `json:"ECR_p_over_c"`
	}
	published(t, "repair-order.json", "TS-01", &one, &oneWant)
	_, r := rankOf(t, base(one, one.C, 0, 1e6))
	close(t, "TS-01 expected cost", r.Advice.ExpectedMinutes, oneWant.ECR, 1e-9)
	if r.Fixes[0].ID != "f1" || r.Fixes[1].ID != "f3" {
		t.Errorf("TS-01 order %s, %s, published 1, 3", r.Fixes[0].ID, r.Fixes[1].ID)
	}

	var five example
	var fiveWant struct{ ECR float64 }
	published(t, "repair-order.json", "TS-05", &five, &fiveWant)
	_, r = rankOf(t, base(five, five.C, 0.2, five.ServiceCost))
	close(t, "TS-05 expected cost", r.Advice.ExpectedMinutes, fiveWant.ECR, 1e-9)

	var seven example
	var sevenWant struct {
		Without float64 `json:"ECR_without_check"`
		With    float64 `json:"ECR_with_check"`
		Saving  float64
	}
	published(t, "repair-order.json", "TS-07", &seven, &sevenWant)
	b := base(seven, seven.RepairCost, 0, 1e6)
	rows := map[string][]float64{}
	for i, p := range seven.Positive {
		rows[fmt.Sprintf("x%d", i)] = []float64{1 - p, p}
	}
	addCheck(b, "look", seven.CheckCost, rows)
	_, r = rankOf(t, b)
	close(t, "TS-07 saving", *r.Checks[0].MinutesSaved, sevenWant.Saving, 1e-9)
	close(t, "TS-07 with check", r.Advice.ExpectedMinutes, sevenWant.With, 1e-9)
	if r.Advice.Do != DoCheck {
		t.Errorf("TS-07 advice %+v, published: check first", r.Advice)
	}
}

// TestRepairOrderBruteForce: with one fault at a time and perfect fixes, p/C
// order with the best stop is the cheapest of all orders of all subsets.
func TestRepairOrderBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "n")
		p := rapid.SliceOfN(rapid.Float64Range(0.01, 1), n+1, n+1).Draw(t, "p")
		c := rapid.SliceOfN(rapid.Float64Range(1, 60), n, n).Draw(t, "c")
		escalation := rapid.Float64Range(5, 300).Draw(t, "escalation")
		var sum float64
		for _, v := range p {
			sum += v
		}
		b := plainBase()
		b.Settings.Unlisted = p[n] / sum
		b.Settings.EscalationMinutes = escalation
		for i := range n {
			addCause(b, fmt.Sprintf("x%d", i), p[i], fmt.Sprintf("f%d", i), c[i])
		}
		belief, err := compile(t, b, testFamily).Believe(nil)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		var walk func(left []int, cost, uncured float64)
		walk = func(left []int, cost, uncured float64) {
			best = math.Min(best, cost+uncured*escalation)
			for i, f := range left {
				walk(slices.Delete(slices.Clone(left), i, i+1), cost+c[f]*uncured, uncured-p[f]/sum)
			}
		}
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		walk(all, 0, 1)
		if got := belief.Rank(Options{}).Advice.ExpectedMinutes; !near(got, best, 1e-9) {
			t.Fatalf("R(e) = %v, cheapest of all orders %v", got, best)
		}
	})
}

// TestLightPrint: a question's information and a repair that did not help
// (Vomlel 2007, inputs published; Vomlelova and Vomlel 2003).
func TestLightPrint(t *testing.T) {
	var in struct {
		Causes map[string]float64
		Costs  map[string]float64
		Q1     map[string]float64 `json:"P(Q1=yes)"`
	}
	var want struct {
		Bits float64 `json:"Q1_information_bits"`
		Rate float64 `json:"Q1_bits_per_cost"`
	}
	published(t, "repair-order.json", "TS-08", &in, &want)
	b := plainBase()
	rows := map[string][]float64{}
	for _, c := range []string{"C1", "C2", "C3", "C4"} {
		fix := map[string]string{"C1": "a", "C2": "a", "C3": "b", "C4": "b"}[c]
		addCause(b, c, in.Causes[c], fix, 5)
		rows[c] = []float64{1 - in.Q1[c], in.Q1[c]}
	}
	addCheck(b, "q1", in.Costs["Q1"], rows)
	_, r := rankOf(t, b)
	close(t, "bits", r.Checks[0].Bits, want.Bits, 1e-12)
	close(t, "bits per cost", r.Checks[0].BitsPerMinute, want.Rate, 1e-12)
}
