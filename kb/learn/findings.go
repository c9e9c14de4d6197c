package learn

import (
	"slices"

	"sootsayer/kb"
)

// countFindings counts a job's findings to the tables that its causes decide.
func (c *Counts) countFindings(job *kb.Job, fam *family, v *verdict, w worth) {
	c.jot.found = fam.firstState(c.jot.found[:0], job, v)
	for _, f := range c.jot.found {
		key := observableKey{f.Kind, f.ID}
		o := fam.observables[key]
		if o == nil {
			c.skip(key.String(), w.sign)
			continue
		}
		seen, err := o.seen(f)
		if err != nil { // an outcome that the base no longer has
			c.skip(key.String(), w.sign)
			continue
		}
		if v.oneOf {
			c.countForEach(o, seen, v, w)
		} else if id, counts := o.rowOf(v.causes); counts {
			c.addSeen(o, id, seen, w.sign, w.job)
		}
	}
}

// countForEach counts a finding of a job with one of several causes to the row
// of each, and to `normally` for those that have none.
func (c *Counts) countForEach(o *observable, seen seen, v *verdict, w worth) {
	var rest float64
	without := false
	for _, cause := range v.causes {
		part := v.parts[cause.index]
		if o.rows[cause.id] == nil {
			rest, without = rest+part, true
			continue
		}
		c.addSeen(o, cause.id, seen, w.sign, w.job*part)
	}
	if without {
		c.addSeen(o, normally, seen, w.sign, w.job*rest)
	}
}

// rowOf tells which row the findings of a job with these causes count to: the
// only cause's, or `normally` when none of the causes has a row.
func (o *observable) rowOf(causes []*cause) (id string, counts bool) {
	for _, c := range causes {
		if o.rows[c.id] != nil {
			return c.id, len(causes) == 1
		}
	}
	return normally, true
}

// seen is what a finding weighs the outcomes: all of it on one of them, or by
// weights that sum to 1.
type seen struct {
	outcome int
	weights []float64
}

// seen reads a finding of the observable.
func (o *observable) seen(f *kb.Finding) (seen, error) {
	if f.Reading == nil && f.Weights == nil {
		if j := slices.Index(o.Outcomes, f.Outcome); j >= 0 {
			return seen{outcome: j}, nil
		}
	}
	w, err := o.Weights(f)
	if err != nil {
		return seen{}, err
	}
	var sum float64
	for _, p := range w {
		sum += p
	}
	for j := range w {
		w[j] /= sum
	}
	return seen{weights: w}, nil
}

// addSeen adds a finding to a row.
func (c *Counts) addSeen(o *observable, cause string, s seen, sign int, weight float64) {
	t, row := c.row(o.key, o.Outcomes, cause)
	row.Jobs += sign
	if s.weights == nil {
		row.Weights[s.outcome] += weight
	}
	for j, p := range s.weights {
		row.Weights[j] += weight * p
	}
	c.putRow(o.key, t, cause, row)
}

// firstState appends to found the last finding of each symptom and check that
// describes the equipment as the job found it, in the order recorded: findings
// up to the first fix that treats one of the causes, be it tried on the way or
// done at a closing that was undone since.
func (f *family) firstState(found []*kb.Finding, job *kb.Job, v *verdict) []*kb.Finding {
	past := job.Past
	for i := range job.Acts {
		a := &job.Acts[i]
		for len(past) > 0 && a.At.After(past[0].At) {
			if f.treated(&past[0], v) {
				return found
			}
			past = past[1:]
		}
		switch {
		case a.Finding != nil:
			earlier := slices.IndexFunc(found, func(g *kb.Finding) bool {
				return g.ID == a.Finding.ID && g.Kind == a.Finding.Kind
			})
			if earlier >= 0 {
				if f.stillCounts(found[earlier], a.Finding) {
					continue
				}
				found = slices.Delete(found, earlier, earlier+1)
			}
			found = append(found, a.Finding)
		case a.Tried != "" && v.treats(a.Tried):
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
	u, err := o.Weights(after)
	return err == nil && f.model.StillCounts(obs, w, u)
}

// treated tells whether what was done at a closing treats one of the causes:
// the fixes it names and those of the causes it names.
func (f *family) treated(c *kb.Closing, v *verdict) bool {
	return slices.ContainsFunc(c.Fixes, v.treats) || slices.ContainsFunc(c.Causes, func(id string) bool {
		done := f.causes[id]
		return done != nil && v.treats(done.fix.id)
	})
}
