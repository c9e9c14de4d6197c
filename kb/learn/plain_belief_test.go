package learn

import (
	"math"
	"slices"

	"sootsayer/kb"
)

func distinct(ids []string) []string {
	ids = slices.Sorted(slices.Values(ids))
	return slices.Compact(ids)
}

// belief is the chance of each candidate of a job closed with one of several
// causes, by the contract's section 4 and the authored numbers; nil for a job
// closed otherwise.
func (p *plain) belief(j *kb.Job) map[string]float64 {
	if !j.Closed() || !j.Closing.OneOf {
		return nil
	}
	candidates := distinct(append(p.known(j), slices.DeleteFunc(slices.Clone(j.Closing.Causes), func(id string) bool { return id != kb.Unlisted })...))
	if len(candidates) < 2 {
		return nil
	}
	m, _ := kb.NewModel(p.b, j.Family)
	start, belief := map[string]float64{}, map[string]float64{}
	for _, id := range candidates {
		start[id] = p.prior(m, id)
	}
	start = normalised(start)
	for _, id := range candidates {
		belief[id] = math.Log(start[id])
		for i := range m.Observables {
			if w := p.first(j, &m.Observables[i]); w != nil {
				belief[id] += math.Log(p.likelihood(m, &m.Observables[i], id, w))
			}
		}
		for _, a := range j.Acts {
			if c, ok := p.b.Cause(id); ok && a.Tried != "" && a.Tried == c.Fix {
				f, _ := p.b.Fix(c.Fix)
				belief[id] += math.Log(1 - f.Cures)
			}
		}
	}
	most := math.Inf(-1)
	for _, l := range belief {
		most = max(most, l)
	}
	for id, l := range belief {
		belief[id] = math.Exp(l - most)
		if math.IsInf(most, -1) { // impossible together: the shares decide
			belief[id] = start[id]
		}
	}
	return normalised(belief)
}

func normalised(belief map[string]float64) map[string]float64 {
	var sum float64
	for _, v := range belief {
		sum += v
	}
	for id, v := range belief {
		belief[id] = v / sum
		if sum == 0 {
			belief[id] = 1 / float64(len(belief))
		}
	}
	return belief
}

// prior is the chance of a cause as the only root, before anything was found.
func (p *plain) prior(m *kb.Model, id string) float64 {
	if id == kb.Unlisted {
		return m.Unlisted
	}
	shared := 0
	for _, c := range m.Causes {
		if c.Share > 0 {
			shared++
		}
	}
	alone := (1 - m.Unlisted) * m.Causes[m.CauseIndex(id)].Share
	if shared > 1 {
		alone *= 1 - m.SecondFault
	}
	return alone
}

func (p *plain) likelihood(m *kb.Model, o *kb.Observable, id string, w []float64) float64 {
	table := make([]float64, len(w))
	for c, mc := range m.Causes {
		row := o.Normally
		for _, r := range o.Rows {
			if r.Cause == c {
				row = r.P
			}
		}
		for k := range table {
			switch {
			case id == kb.Unlisted:
				table[k] += mc.Share * row[k]
			case id == mc.ID:
				table[k] = row[k]
			}
		}
	}
	var hit, sum float64
	for k := range table {
		raised := max(table[k], m.Floor)
		hit, sum = hit+w[k]*raised, sum+raised
	}
	return hit / sum
}
