package stock

import (
	"slices"
)

// tour values kits over the jobs from one filling-up to the next. A job takes
// the parts it needs whether or not it can be finished, so that what is left for
// the j-th job of part i is the carry less the demand of j-1 jobs, and parts are
// counted as if their demands were independent (Teunter 2006): a need is met at
// the j-th job with chance prod_i P(demand of i in j-1 jobs <= carry_i - pieces).
// With one job a tour this is exact.
type tour struct {
	p      *KitProblem
	most   []int         // by part: pieces that may be carried
	left   [][][]float64 // by part, job and slack: chance that earlier jobs leave that slack
	of     [][]int32     // by part: the needs that take it
	always float64       // weight of the needs without parts
	net    *closure
}

func newTour(p *KitProblem) *tour {
	t := newValues(p)
	t.net = newClosure(t)
	return t
}

// newValues is a tour that values kits and finds none.
func newValues(p *KitProblem) *tour {
	p.Jobs = max(1, p.Jobs)
	t := &tour{p: p, most: make([]int, len(p.Parts)), left: make([][][]float64, len(p.Parts)), of: make([][]int32, len(p.Parts))}
	single := make([]Distribution, len(p.Parts)) // pieces one job takes
	for n, need := range p.Needs {
		if len(need.Takes) == 0 {
			t.always += need.Weight
		}
		for _, take := range need.Takes {
			t.of[take.Part] = append(t.of[take.Part], int32(n))
			for len(single[take.Part]) <= take.Pieces {
				single[take.Part] = append(single[take.Part], 0)
			}
			single[take.Part][take.Pieces] += need.Weight
		}
	}
	for i, d := range single {
		if len(d) == 0 {
			continue
		}
		var sum float64
		for _, w := range d[1:] {
			sum += w
		}
		d[0] = max(0, 1-sum)
		t.most[i] = (len(d) - 1) * p.Jobs
		if m := p.Parts[i].Most; m > 0 {
			t.most[i] = min(t.most[i], m)
		}
		t.left[i] = slacks(d, p.Jobs, t.most[i])
	}
	return t
}

// slacks returns, by job of a tour and slack up to most, the chance that the
// jobs before took no more than that.
func slacks(single Distribution, jobs, most int) [][]float64 {
	out := make([][]float64, jobs)
	taken := Certain(0)
	for j := range out {
		out[j] = make([]float64, most+1)
		for s := range out[j] {
			out[j][s] = taken.CDF(s)
		}
		taken = taken.Plus(single)
	}
	return out
}

// filled is the share of jobs that a kit finishes.
func (t *tour) filled(carry []int) float64 {
	sum := t.always
	for n := range t.p.Needs {
		sum += t.met(n, carry)
	}
	return sum
}

// met is the weight with which a need that takes parts is met, over the tour.
func (t *tour) met(n int, carry []int) float64 {
	need := &t.p.Needs[n]
	if len(need.Takes) == 0 {
		return 0 // counted in always
	}
	for _, take := range need.Takes {
		if carry[take.Part] < take.Pieces {
			return 0
		}
	}
	if t.p.Jobs == 1 {
		return need.Weight
	}
	var sum float64
	for j := range t.p.Jobs {
		chance := 1.0
		for _, take := range need.Takes {
			chance *= t.left[take.Part][j][carry[take.Part]-take.Pieces]
		}
		sum += chance
	}
	return need.Weight * sum / float64(t.p.Jobs)
}

// change is how much more one kit fills than another that differs from it in
// the given parts only.
func (t *tour) change(more, less []int, parts ...int) float64 {
	var sum float64
	for k, i := range parts {
		for _, n := range t.of[i] {
			if k > 0 && t.takesAny(int(n), parts[:k]) {
				continue // counted for an earlier part
			}
			sum += t.met(int(n), more) - t.met(int(n), less)
		}
	}
	return sum
}

func (t *tour) takesAny(n int, parts []int) bool {
	return slices.ContainsFunc(t.p.Needs[n].Takes, func(x Take) bool { return slices.Contains(parts, x.Part) })
}
