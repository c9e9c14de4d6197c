package learn

import (
	"slices"

	"sootsayer/kb"
)

// countCures counts how the fixes of a job went, as the ranker reads it: cures
// is the chance that a fix which treats every cause that is there ends the
// trouble.
//
//   - A fix that was tried on the way and treats all of the causes that were
//     then still there failed. One that treats a part of them takes those away;
//     it held, since the job ended.
//   - A fix done at a closing that was undone by reopening the job failed when
//     it treats one of the causes of the final closing.
//   - The fixes done at the final closing held, those of them that treat one of
//     its causes.
//
// Of one of several causes each counts by its chance.
func (c *Counts) countCures(job *kb.Job, fam *family, v *verdict, w worth) {
	held := c.jot.fixes[:0]
	still := append(c.jot.still[:0], v.causes...)
	for i := range job.Acts {
		tried := job.Acts[i].Tried
		if tried == "" || !v.treats(tried) {
			continue
		}
		f := c.base.fixes[tried]
		treats := func(x *cause) bool { return x.fix == f }
		switch {
		case v.oneOf || !slices.ContainsFunc(still, func(x *cause) bool { return x.fix != f }):
			c.addCure(f, w, v.treated(f), 0)
		case slices.ContainsFunc(still, treats):
			still = slices.DeleteFunc(still, treats)
			held = appendOnce(held, f)
		}
	}
	for i := range job.Past {
		c.jot.other = c.doneAt(c.jot.other[:0], fam, &job.Past[i])
		for _, f := range c.jot.other {
			c.addCure(f, w, v.treated(f), 0)
		}
	}
	held = c.doneAt(held, fam, job.Closing)
	for _, f := range held {
		c.addCure(f, w, v.treated(f), 1)
	}
	c.jot.fixes, c.jot.still = held, still
}

// addCure counts a fix with the chance that it treats a cause that was there,
// and the chance that it held.
func (c *Counts) addCure(f *fix, w worth, treated, held float64) {
	if treated == 0 {
		return
	}
	counts := c.fixCounts(f.id)
	counts.Cures = counts.Cures.plus(Trials{Jobs: w.sign, Weight: w.job * treated, Hits: w.job * treated * held})
	c.tidyFix(f.id)
}

// countFailed counts the fixes of a job that came back as another one. Once that
// is closed, those failed that treat one of its causes. While it is open, those
// did that treat a cause of the first closing; when there were several, at least
// one of them failed, each with the chance (1 - cures) / (1 - prod cures) by the
// authored cures (one expectation step).
func (c *Counts) countFailed(job, back *kb.Job, fam *family, w worth) {
	closed := back != nil && back.Closed()
	speaks := job
	if closed {
		speaks = back
		w.job = w.done * certainty(back.Closing)
	}
	v := c.jot.verdict(fam, speaks)
	if !v.told() {
		return
	}
	done := c.doneAt(c.jot.fixes[:0], fam, job.Closing)
	c.jot.fixes = done
	done = slices.DeleteFunc(done, func(f *fix) bool { return v.treated(f) == 0 })
	all, alone := 1.0, v.oneOf || closed || len(done) == 1
	for _, f := range done {
		all *= f.cures
	}
	for _, f := range done {
		failed := 1.0
		switch {
		case alone:
		case all < 1:
			failed = (1 - f.cures) / (1 - all)
		default:
			failed = 1 / float64(len(done))
		}
		c.addCure(f, w, v.treated(f), 1-failed)
	}
}

// doneAt appends the fixes done at a closing, each once: those it states, else
// those of the causes it names. What the base does not have is left out.
func (c *Counts) doneAt(done []*fix, fam *family, closing *kb.Closing) []*fix {
	for _, id := range closing.Fixes {
		done = appendOnce(done, c.base.fixes[id])
	}
	if len(closing.Fixes) > 0 {
		return done
	}
	for _, id := range closing.Causes {
		if cause := fam.causes[id]; cause != nil {
			done = appendOnce(done, cause.fix)
		}
	}
	return done
}

func appendOnce(fixes []*fix, f *fix) []*fix {
	if f == nil || slices.Contains(fixes, f) {
		return fixes
	}
	return append(fixes, f)
}

// moveCures moves the chance that each fix holds to the mean of its Beta
// posterior.
func (c *Counts) moveCures(m *kb.Model, strength, scale float64) {
	for i := range m.Fixes {
		f := &m.Fixes[i]
		if counts := c.Fixes[f.ID]; counts != nil {
			f.Cures = counts.Cures.posterior(strength, f.Cures, scale).mean()
		}
	}
}
