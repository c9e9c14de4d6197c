package learn

import (
	"math"

	"sootsayer/kb"
)

// weighCandidates works out, for a job closed with one of several causes, the
// chance that it was each of them: one expectation step (Dempster, Laird and
// Rubin 1977) of the belief of the contract's section 4 over the candidates,
// each as the only cause. A candidate's chance is proportional to its share,
// times the chance of each finding of the job's first state given that cause
// alone (at least the floor), times 1 - cures for each time that a fix was tried
// which treats it. Shares, tables and cures are always the authored ones: with
// learned ones the order of the jobs would matter.
//
// Candidates none of which has a share start alike. Where all of them come out
// impossible, the start decides.
func (n *notes) weighCandidates(fam *family, v *verdict, job *kb.Job) {
	v.parts = zeroes(v.parts, len(fam.model.Causes))
	v.setShares(fam)
	n.found = fam.firstState(n.found[:0], job, v)
	for _, f := range n.found {
		o := fam.observables[observableKey{f.Kind, f.ID}]
		if o == nil {
			continue
		}
		w, err := o.Weights(f)
		if err != nil {
			continue
		}
		for _, c := range v.causes {
			v.parts[c.index] *= o.likelihood(w, o.given(c), fam.model.Floor)
		}
		if v.unlisted {
			v.unlistedPart *= o.likelihood(w, o.mean(fam), fam.model.Floor)
		}
		if !v.normalise() {
			break
		}
	}
	for i := range job.Acts {
		for _, c := range v.causes {
			if job.Acts[i].Tried != "" && job.Acts[i].Tried == c.fix.id {
				v.parts[c.index] *= 1 - c.fix.cures
			}
		}
	}
	if !v.normalise() {
		v.setShares(fam)
	}
}

// setShares gives each candidate its share, as the only cause of a job.
func (v *verdict) setShares(fam *family) {
	for _, c := range v.causes {
		v.parts[c.index] = fam.alone * c.share
	}
	v.unlistedPart = fam.model.Unlisted
	if !v.normalise() {
		for _, c := range v.causes {
			v.parts[c.index] = 1
		}
		v.unlistedPart = 1
		v.normalise()
	}
}

// normalise makes the chances of the candidates sum to 1, and tells whether any
// of them is above 0.
func (v *verdict) normalise() bool {
	if !v.unlisted {
		v.unlistedPart = 0
	}
	sum := v.unlistedPart
	for _, c := range v.causes {
		sum += v.parts[c.index]
	}
	if !(sum > 0) {
		return false
	}
	for _, c := range v.causes {
		v.parts[c.index] /= sum
	}
	v.unlistedPart /= sum
	return true
}

// given is the observable's table given a cause alone.
func (o *observable) given(c *cause) []float64 {
	if row := o.rows[c.id]; row != nil {
		return row
	}
	return o.Normally
}

// mean is the table given the unlisted cause: the mean of those of the family's
// causes, weighted by share.
func (o *observable) mean(fam *family) []float64 {
	p := make([]float64, len(o.Outcomes))
	for i := range fam.model.Causes {
		c := &fam.model.Causes[i]
		for j, q := range o.given(fam.causes[c.ID]) {
			p[j] += c.Share * q
		}
	}
	return p
}

// likelihood is the chance of a finding, given as weights of the outcomes, in a
// table whose outcomes are raised to at least the floor.
func (o *observable) likelihood(weights, table []float64, floor float64) float64 {
	var hit, sum float64
	for j, p := range table {
		p = math.Max(p, floor)
		hit += weights[j] * p
		sum += p
	}
	return hit / sum
}

// zeroes returns n zeroes, in the same memory where it is large enough.
func zeroes(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n)
	}
	v = v[:n]
	clear(v)
	return v
}
