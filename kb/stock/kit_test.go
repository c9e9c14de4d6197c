package stock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// independent writes out jobs that need each part on its own with a chance: one
// need for each set of parts.
func independent(p []float64) []Need {
	needs := []Need{{Weight: 1}}
	for i, chance := range p {
		for _, n := range slices.Clone(needs) {
			with := Need{n.Weight * chance, append(slices.Clone(n.Takes), Take{i, 1})}
			needs = append(needs, with)
		}
		for k := range len(needs) / 2 {
			needs[k].Weight *= 1 - chance
		}
	}
	return needs
}

func partsCosting(cost ...float64) []KitPart {
	parts := make([]KitPart, len(cost))
	for i, c := range cost {
		parts[i] = KitPart{ID: fmt.Sprint("part-", i), Cost: c}
	}
	return parts
}

func carried(k *Kit) []int {
	var list []int
	for i, n := range k.Carry {
		if n > 0 {
			list = append(list, i)
		}
	}
	return list
}

// TestPublishedKits: the cost model of Smith, Chambers and Shlifer (1980) and
// the service model of Graves (1982); numbers constructed, solved by brute force
// elsewhere (DS-20, DS-21).
func TestPublishedKits(t *testing.T) {
	var in struct {
		Needed  []float64 `json:"p_needed"`
		Holding []float64
		Penalty float64 `json:"penalty_broken_job"`
	}
	var want struct {
		Kit        []int   `json:"best_kit"`
		Cost       float64 `json:"best_cost"`
		Completion float64 `json:"job_completion"`
	}
	published(t, "kits.json", "DS-20", &in, &want)
	parts, needs := partsCosting(in.Holding...), independent(in.Needed)
	k := CheapestKit(parts, needs, in.Penalty)
	if !slices.Equal(carried(&k), want.Kit) {
		t.Errorf("kit %v, published %v", carried(&k), want.Kit)
	}
	near(t, "finished", k.Filled, want.Completion, 1e-9)
	near(t, "cost", k.Cost+in.Penalty*(1-k.Filled), want.Cost, 1e-9)

	var service struct{ Target float64 }
	var least struct {
		Kit        []int `json:"optimal_kit"`
		Holding    float64
		Completion float64
	}
	published(t, "kits.json", "DS-21", &service, &least)
	k, ok := KitFor(KitProblem{Parts: parts, Needs: needs}, service.Target)
	if !ok || !slices.Equal(carried(&k), least.Kit) {
		t.Errorf("kit %v, published %v", carried(&k), least.Kit)
	}
	near(t, "holding", k.Cost, least.Holding, 1e-9)
	near(t, "finished", k.Filled, least.Completion, 1e-9)
	if _, ok := KitFor(KitProblem{Parts: partsCosting(1), Needs: []Need{{Weight: 0.5}, {Weight: 0.4, Takes: []Take{{0, 1}}}}}, 0.95); ok {
		t.Error("a kit fills more jobs than there are")
	}
}

// TestPublishedTour: three jobs before the truck is filled up; parts are used
// even if the job fails (DS-22).
func TestPublishedTour(t *testing.T) {
	var in struct {
		Jobs   int       `json:"jobs_per_tour"`
		Needed []float64 `json:"p_needed"`
		Stock  []int
	}
	var want struct {
		Used float64 `json:"job_fill_rate_parts_used_even_if_job_fails"`
	}
	published(t, "kits.json", "DS-22", &in, &want)
	tour := newTour(&KitProblem{Parts: partsCosting(1, 1), Needs: independent(in.Needed), Jobs: in.Jobs})
	near(t, "jobs finished", tour.filled(in.Stock), want.Used, 1e-12)
}

func drawKit(t *rapid.T, parts, jobs int) KitProblem {
	p := KitProblem{Jobs: jobs}
	for i := range parts {
		p.Parts = append(p.Parts, KitPart{ID: fmt.Sprint(i), Cost: rapid.Float64Range(0.5, 10).Draw(t, "cost"), Most: rapid.IntRange(0, 3).Draw(t, "most")})
	}
	left := 1.0
	for range rapid.IntRange(1, 8).Draw(t, "needs") {
		n := Need{Weight: left * rapid.Float64Range(0.05, 0.6).Draw(t, "weight")}
		left -= n.Weight
		for i := range parts {
			if rapid.IntRange(0, 2).Draw(t, "takes") == 0 {
				n.Takes = append(n.Takes, Take{i, rapid.IntRange(1, 2).Draw(t, "pieces")})
			}
		}
		p.Needs = append(p.Needs, n)
	}
	p.Budget = rapid.Float64Range(0, 30).Draw(t, "budget")
	return p
}

// best tries every kit.
func bruteKit(t *tour) (filled float64) {
	carry := make([]int, len(t.most))
	var try func(i int, cost float64)
	try = func(i int, cost float64) {
		if cost > t.p.Budget {
			return
		}
		if i == len(carry) {
			filled = max(filled, t.filled(carry))
			return
		}
		for n := 0; n <= t.most[i]; n++ {
			carry[i] = n
			try(i+1, cost+float64(n)*t.p.Parts[i].Cost)
		}
		carry[i] = 0
	}
	try(0, 0)
	return filled
}

func TestBestKitIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawKit(t, rapid.IntRange(1, 6).Draw(t, "parts"), 1)
		k := BestKit(p)
		want := bruteKit(newTour(&p))
		if math.Abs(k.Filled-want) > 1e-8 || k.Gap() > 1e-8 || k.Cost > p.Budget+1e-9 {
			t.Fatalf("%+v, brute force fills %g", k, want)
		}
	})
}

// TestTourKit: over several jobs the bound holds and the kit is close to the
// best.
func TestTourKit(t *testing.T) {
	var worst float64
	rapid.Check(t, func(t *rapid.T) {
		p := drawKit(t, rapid.IntRange(1, 3).Draw(t, "parts"), rapid.IntRange(2, 4).Draw(t, "jobs"))
		k := BestKit(p)
		want := bruteKit(newTour(&p))
		if k.Filled > want+1e-9 || k.Bound < want-1e-9 || k.Cost > p.Budget+1e-9 {
			t.Fatalf("%+v, brute force fills %g", k, want)
		}
		worst = max(worst, want-k.Filled)
		if want-k.Filled > 0.02 {
			t.Fatalf("fills %g, brute force %g", k.Filled, want)
		}
	})
	t.Logf("at worst %.2g of the jobs less than the best kit", worst)
}

// TestTourByHand: the share of jobs finished against all orders of jobs tried
// out. Demands of parts that come in one need together are counted as if they
// were independent, which is a little off: both figures are compared.
func TestTourByHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawKit(t, 2, 3)
		var rest float64 = 1
		for _, n := range p.Needs {
			rest -= n.Weight
		}
		tour := newTour(&p)
		carry := make([]int, 2)
		for i := range carry {
			carry[i] = rapid.IntRange(0, tour.most[i]).Draw(t, "carry")
		}
		var walk func(job int, weight float64, left []int) float64
		walk = func(job int, weight float64, left []int) (sum float64) {
			if job == 3 || weight == 0 {
				return 0
			}
			sum += walk(job+1, weight*rest, left)
			for _, n := range p.Needs {
				met, after := 1.0, slices.Clone(left)
				for _, x := range n.Takes {
					if after[x.Part] -= x.Pieces; after[x.Part] < 0 {
						met = 0
					}
				}
				sum += weight*n.Weight*met/3 + walk(job+1, weight*n.Weight, after)
			}
			return sum
		}
		if got, want := tour.filled(carry), walk(0, 1, carry); math.Abs(got-want) > 0.08 {
			t.Fatalf("fills %g, by hand %g", got, want)
		}
	})
}

// TestKitAdds: what a part adds is what is lost without it, and more money never
// fills less.
func TestKitAdds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawKit(t, 4, rapid.IntRange(1, 3).Draw(t, "jobs"))
		k := BestKit(p)
		tour := newTour(&p)
		for i, n := range k.Carry {
			without := slices.Clone(k.Carry)
			without[i] = 0
			if lost := tour.filled(k.Carry) - tour.filled(without); n > 0 && math.Abs(lost-k.Adds[i]) > 1e-12 {
				t.Fatalf("part %d adds %g, without it %g less is filled", i, k.Adds[i], lost)
			}
		}
		p.Budget *= 2
		if more := BestKit(p); p.Jobs == 1 && more.Filled < k.Filled-1e-9 {
			t.Fatalf("twice the money fills %g, once %g", more.Filled, k.Filled)
		}
	})
}

// inventedKit is an invented shop's: kinds of jobs with shares that fall, one to
// four parts each.
func inventedKit(parts, needs, jobs int) KitProblem {
	rng := rand.New(rand.NewPCG(7, 11))
	p := KitProblem{Jobs: jobs}
	var money float64
	for i := range parts {
		cost := math.Exp(1 + 3*rng.Float64())
		money += cost
		p.Parts = append(p.Parts, KitPart{ID: fmt.Sprint("part-", i), Cost: cost})
	}
	var sum float64
	for n := range needs {
		need := Need{Weight: 1 / float64(n+10)}
		sum += need.Weight
		for range 1 + rng.IntN(4) {
			i := rng.IntN(parts)
			if !slices.ContainsFunc(need.Takes, func(x Take) bool { return x.Part == i }) {
				need.Takes = append(need.Takes, Take{i, 1 + rng.IntN(8)/7})
			}
		}
		p.Needs = append(p.Needs, need)
	}
	for n := range p.Needs {
		p.Needs[n].Weight /= sum
	}
	p.Budget = money / 4
	return p
}

// BenchmarkBestKit: the promise is 500 parts and 2,000 kinds of jobs in 2 s.
func BenchmarkBestKit(b *testing.B) {
	for _, run := range []struct{ parts, needs, jobs int }{{125, 500, 1}, {500, 2000, 1}, {500, 2000, 6}} {
		b.Run(fmt.Sprintf("parts=%d/needs=%d/jobs=%d", run.parts, run.needs, run.jobs), func(b *testing.B) {
			p := inventedKit(run.parts, run.needs, run.jobs)
			var k Kit
			for b.Loop() {
				k = BestKit(p)
			}
			b.ReportMetric(100*k.Filled, "%filled")
			b.ReportMetric(100*k.Gap(), "%gap")
		})
	}
}
