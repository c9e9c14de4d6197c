package ranker

import (
	"math"
	"slices"
	"sort"
)

func (o *oracle) change(from map[string]string, need map[string]string) (minutes float64, to map[string]string) {
	to = map[string]string{}
	for k, v := range from {
		to[k] = v
	}
	for k, v := range need {
		if from[k] != v {
			s, _ := o.b.State(k)
			minutes += s.Minutes[from[k]+">"+v]
		}
		to[k] = v
	}
	return minutes, to
}

// cureMinutes is R(e) with the given hypothesis weights and standing.
func (o *oracle) cureMinutes(weight []float64, stand map[string]string) float64 {
	type fix struct {
		id   string
		p, m float64
	}
	var fixes []fix
	for _, f := range o.b.Fixes {
		used := false
		for _, c := range o.causes {
			used = used || c.Fix == f.ID
		}
		if !used {
			continue
		}
		m, after := o.change(stand, f.State)
		m += f.Minutes
		if proof, ok := o.b.Check(f.Proof); ok {
			t, _ := o.change(after, proof.State)
			m += t + proof.Minutes
		}
		var p float64
		for i, h := range o.hyps {
			if _, need := o.need(h); need[f.ID] {
				p += weight[i]
			}
		}
		fixes = append(fixes, fix{f.ID, p, m})
	}
	sort.Slice(fixes, func(i, j int) bool {
		a, b := fixes[i], fixes[j]
		if a.p/a.m != b.p/b.m {
			return a.p/a.m > b.p/b.m
		}
		return a.id < b.id
	})
	best := o.b.Settings.EscalationMinutes
	var cost float64
	done := map[string]bool{}
	notCured := func() (p float64) {
		for i, h := range o.hyps {
			_, need := o.need(h)
			cured := !h.unlisted
			for f := range need {
				cured = cured && done[f]
			}
			if !cured {
				p += weight[i]
			}
		}
		return p
	}
	for _, f := range fixes {
		cost += f.m * notCured()
		done[f.id] = true
		best = math.Min(best, cost+notCured()*o.b.Settings.EscalationMinutes)
	}
	return best
}

// saved is R(e) - [minutes(t) + sum_o P(o) R(e,o)].
func (o *oracle) saved(t oracleObs) float64 {
	now := make([]float64, len(o.hyps))
	for i, h := range o.hyps {
		now[i] = h.weight
	}
	change, after := o.change(o.stand, t.state)
	total := o.cureMinutes(now, o.stand) - t.minutes - change
	for j := range t.outcomes {
		var p float64
		given := make([]float64, len(o.hyps))
		for i, h := range o.hyps {
			given[i] = h.weight * o.table(t, h)[j]
			p += given[i]
		}
		if p <= 0 {
			continue
		}
		for i := range given {
			given[i] /= p
		}
		total -= p * o.cureMinutes(given, after)
	}
	return total
}

func (o *oracle) probability(cause string) (present, root float64) {
	for _, h := range o.hyps {
		if slices.Contains(h.now, cause) {
			present += h.weight
			if slices.Contains(h.roots, cause) {
				root += h.weight
			}
		}
	}
	return present, root
}
