package learn

import "sootsayer/kb"

// worth is what one job counts: sign 1 when it is added and -1 when it is taken
// back, and its weight.
type worth struct {
	sign int
	job  float64 // confidence x age
	done float64 // age alone: for what was seen to be done, however sure the cause
	sure float64 // confidence alone
}

// worth is that of a job that ended with a closing.
func (c *Counts) worth(closing *kb.Closing, sign int) worth {
	sure, age := certainty(closing), c.ageWeight(closing.At)
	s := float64(sign)
	return worth{sign: sign, job: s * sure * age, done: s * age, sure: s * sure}
}

// tally is the job with a part of its weight.
func (w worth) tally(part float64) Tally { return Tally{Jobs: w.sign, Weight: w.job * part} }

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
	w := c.worth(job.Closing, sign)
	c.countMinutes(job, fam, w)
	c.countPieces(job, fam, w)
	v := c.jot.verdict(fam, job)
	for _, id := range v.unknown {
		c.skip("cause/"+id, sign)
	}
	if len(v.causes) == 0 && !v.unlisted {
		return
	}
	f := c.familyCounts(job.Family)
	f.countRoots(job, v, w)
	if v.told() {
		c.countFindings(job, fam, v, w)
		c.countCures(job, fam, v, w)
		f.countEffects(v, w)
	}
	c.tidyFamily(job.Family)
}

// countCameBack counts a closed job that came back as another one (sign 1), or
// takes it back (sign -1).
func (c *Counts) countCameBack(job, back *kb.Job, sign int) {
	if !job.Closed() {
		return
	}
	fam := c.base.families[job.Family]
	if fam == nil {
		c.skip("family/"+job.Family, sign)
		return
	}
	w := c.worth(job.Closing, sign)
	c.countMinutes(job, fam, w)
	c.countPieces(job, fam, w)
	c.countFailed(job, back, fam, w)
}

// countRoots counts a job to its family. The unlisted cause beside a listed one
// is a second, independent cause, unless the closing named one of several.
func (f *FamilyCounts) countRoots(job *kb.Job, v *verdict, w worth) {
	f.Jobs = f.Jobs.plus(w.tally(1))
	if v.unlisted {
		f.Unlisted = f.Unlisted.plus(w.tally(v.unlistedPart))
	}
	if len(v.roots) > 0 {
		f.Listed = f.Listed.plus(w.tally(v.listedPart()))
		if !v.oneOf && (len(v.roots) > 1 || v.unlisted) {
			f.Second = f.Second.plus(w.tally(1))
		}
	}
	for _, root := range v.roots {
		t := w.tally(v.part(root))
		addTo(f.Roots, root.id, t)
		if job.Model != "" {
			addUnder(f.Models, job.Model, root.id, t)
		}
		addUnder(f.Seasons, season(job.Closing.At), root.id, Tally{Jobs: w.sign, Weight: w.sure * v.part(root)})
	}
}
