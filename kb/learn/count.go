package learn

import (
	"slices"

	"sootsayer/kb"
)

// count adds a closed job (sign 1) or takes it back (sign -1).
func (c *Counts) count(job *kb.Job, sign int) {
	if !job.Closed() {
		return
	}
	fam := c.base.families[job.Family]
	if fam == nil {
		c.skip("family/"+job.Family, sign)
		return
	}
	v := fam.read(job.Closing.Causes)
	for _, id := range v.unknown {
		c.skip("cause/"+id, sign)
	}
	if len(v.causes) == 0 && !v.unlisted {
		return
	}
	one := Tally{Jobs: sign, Weight: float64(sign) * c.weight(job.Closing)}
	c.addFamily(job.Family, v.counts(one))
	if !v.unlisted && len(v.unknown) == 0 {
		c.countFindings(job, fam, &v, one)
	}
}

// verdict is what a closing says of the causes, each once.
type verdict struct {
	causes   []string // listed causes of the family
	roots    []string // those that no other of them leads to
	unlisted bool
	unknown  []string // causes that the family does not have
}

// read sorts the causes of a closing. Of two causes of which one leads to the
// other, directly or through others, only the first is a root.
func (f *family) read(ids []string) verdict {
	var v verdict
	for i, id := range ids {
		switch {
		case slices.Contains(ids[:i], id):
		case id == kb.Unlisted:
			v.unlisted = true
		case f.causes[id] == nil:
			v.unknown = append(v.unknown, id)
		default:
			v.causes = append(v.causes, id)
		}
	}
	for _, id := range v.causes {
		effect := slices.ContainsFunc(v.causes, func(from string) bool {
			return f.causes[from].reaches[id] && !f.causes[id].reaches[from]
		})
		if !effect {
			v.roots = append(v.roots, id)
		}
	}
	return v
}

// counts is what one job adds to its family. The unlisted cause beside a
// listed one is a second, independent cause.
func (v *verdict) counts(one Tally) *FamilyCounts {
	f := FamilyCounts{Jobs: one, Roots: make(map[string]Tally, len(v.roots))}
	if v.unlisted {
		f.Unlisted = one
	}
	if len(v.roots) > 0 {
		f.Listed = one
		if len(v.roots) > 1 || v.unlisted {
			f.Second = one
		}
	}
	for _, id := range v.roots {
		f.Roots[id] = one
	}
	return &f
}

// countFindings counts a job's findings to the tables that its causes decide.
func (c *Counts) countFindings(job *kb.Job, fam *family, v *verdict, one Tally) {
	for _, f := range fam.firstState(job, v.causes) {
		key := observableKey{f.Kind, f.ID}
		o := fam.observables[key]
		if o == nil {
			c.skip(key.String(), one.Jobs)
			continue
		}
		w, err := o.Weights(f)
		if err != nil { // an outcome that the base no longer has
			c.skip(key.String(), one.Jobs)
			continue
		}
		cause, counts := o.rowOf(v.causes)
		if !counts {
			continue
		}
		var sum float64
		for _, p := range w {
			sum += p
		}
		for j := range w {
			w[j] *= one.Weight / sum
		}
		c.addRow(o.key, o.Outcomes, cause, RowCounts{Jobs: one.Jobs, Weights: w})
	}
}

// rowOf tells which row the findings of a job with these causes count to: the
// only cause's, or `normally` when none of the causes has a row.
func (o *observable) rowOf(causes []string) (cause string, counts bool) {
	for _, id := range causes {
		if o.rows[id] != nil {
			return id, len(causes) == 1
		}
	}
	return normally, true
}

// firstState returns the last finding of each symptom and check that describes
// the equipment as the job found it, in the order recorded: findings up to the
// first fix that treats one of the causes, be it tried on the way or done at a
// closing that was undone since.
func (f *family) firstState(job *kb.Job, causes []string) []*kb.Finding {
	var found []*kb.Finding
	past := job.Past
	for i := range job.Acts {
		a := &job.Acts[i]
		for len(past) > 0 && a.At.After(past[0].At) {
			if f.treated(&past[0], causes) {
				return found
			}
			past = past[1:]
		}
		switch {
		case a.Finding != nil:
			earlier := slices.IndexFunc(found, func(g *kb.Finding) bool {
				return g.Kind == a.Finding.Kind && g.ID == a.Finding.ID
			})
			if earlier >= 0 {
				if f.stillCounts(found[earlier], a.Finding) {
					continue
				}
				found = slices.Delete(found, earlier, earlier+1)
			}
			found = append(found, a.Finding)
		case a.Tried != "" && f.treats(a.Tried, causes):
			return found
		}
	}
	return found
}

// stillCounts tells whether a finding stays what was found although the check
// was done again: when that only ended a hold.
func (f *family) stillCounts(before, after *kb.Finding) bool {
	obs := f.model.ObservableIndex(before.Kind, before.ID)
	if obs < 0 {
		return false
	}
	o := &f.model.Observables[obs]
	w, err := o.Weights(before)
	if err != nil {
		return false
	}
	v, err := o.Weights(after)
	return err == nil && f.model.StillCounts(obs, w, v)
}

// treats tells whether a fix treats one of the causes.
func (f *family) treats(fix string, causes []string) bool {
	return slices.ContainsFunc(causes, func(id string) bool { return f.causes[id].fix == fix })
}

// treated tells whether what was done at a closing treats one of the causes:
// the fixes it names and those of the causes it names.
func (f *family) treated(c *kb.Closing, causes []string) bool {
	if slices.ContainsFunc(c.Fixes, func(fix string) bool { return f.treats(fix, causes) }) {
		return true
	}
	return slices.ContainsFunc(c.Causes, func(id string) bool {
		done := f.causes[id]
		return done != nil && f.treats(done.fix, causes)
	})
}
