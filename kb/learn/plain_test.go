package learn

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// plain works everything out from the list of jobs, slowly and in the words of
// the contract: a job weighs confidence x 2^(-age/half-life) now.
type plain struct {
	b      *kb.Base
	visits []visit
	jobs   []*kb.Job // those that stand
}

func newPlain(b *kb.Base, visits []visit) *plain {
	p := &plain{b: b, visits: visits}
	for _, v := range visits {
		if !v.cameBack {
			p.jobs = append(p.jobs, v.job)
		}
	}
	return p
}

func (p *plain) age(j *kb.Job) float64 {
	if h := p.b.Settings.HalfLifeYears; h > 0 {
		return math.Pow(2, -now.Sub(j.Closing.At).Hours()/(24*365.25)/h)
	}
	return 1
}

func (p *plain) weight(j *kb.Job) float64 { return j.Closing.Confidence * p.age(j) }

func (p *plain) inFamily(id, family string) bool {
	c, ok := p.b.Cause(id)
	if !ok {
		return false
	}
	_, in := c.Share[family]
	return in
}

// known are the listed causes of a closed job, each once.
func (p *plain) known(j *kb.Job) []string {
	var known []string
	for _, id := range j.Closing.Causes {
		if p.inFamily(id, j.Family) && !slices.Contains(known, id) {
			known = append(known, id)
		}
	}
	return known
}

// only tells whether nothing but listed causes of the family was confirmed.
func (p *plain) only(j *kb.Job) bool {
	return !slices.ContainsFunc(j.Closing.Causes, func(id string) bool { return !p.inFamily(id, j.Family) })
}

func (p *plain) leads(from, to, family string) bool {
	c, _ := p.b.Cause(from)
	for id := range c.LeadsTo {
		if p.inFamily(id, family) && (id == to || p.leads(id, to, family)) {
			return true
		}
	}
	return false
}

func (p *plain) roots(j *kb.Job) []string {
	known := p.known(j)
	return slices.DeleteFunc(slices.Clone(known), func(id string) bool {
		return slices.ContainsFunc(known, func(from string) bool { return from != id && p.leads(from, id, j.Family) })
	})
}

// first is the last finding of an observable before a fix that treats a cause.
func (p *plain) first(j *kb.Job, o *kb.Observable) []float64 {
	fixed := func(fix string) bool {
		return slices.ContainsFunc(p.known(j), func(id string) bool { c, _ := p.b.Cause(id); return c.Fix == fix })
	}
	var w []float64
	for _, a := range j.Acts {
		for _, past := range j.Past {
			for _, id := range past.Causes {
				if c, ok := p.b.Cause(id); ok && p.inFamily(id, j.Family) && fixed(c.Fix) && a.At.After(past.At) {
					return w
				}
			}
			if a.At.After(past.At) && slices.ContainsFunc(past.Fixes, fixed) {
				return w
			}
		}
		if a.Tried != "" && fixed(a.Tried) {
			return w
		}
		if a.Finding != nil && a.Finding.Kind == o.Kind && a.Finding.ID == o.ID {
			w, _ = o.Weights(a.Finding)
		}
	}
	return w
}

// share is (strength x start + hits) / (strength + trials).
func share(strength, start, hits, trials float64) float64 {
	if strength+trials == 0 {
		return start
	}
	return (strength*start + hits) / (strength + trials)
}

func (p *plain) model(family string) *kb.Model {
	m, _ := kb.NewModel(p.b, family)
	roots := make([]float64, len(m.Causes))
	var all, jobs, listed, unlisted, second float64
	for _, j := range p.jobs {
		if !j.Closed() || j.Family != family {
			continue
		}
		w, found, none := p.weight(j), p.roots(j), slices.Contains(j.Closing.Causes, kb.Unlisted)
		if belief := p.belief(j); belief != nil {
			jobs += w
			for id, part := range belief {
				if id == kb.Unlisted {
					unlisted += w * part
					continue
				}
				roots[m.CauseIndex(id)] += w * part
				listed, all = listed+w*part, all+w*part
			}
			continue
		}
		for _, id := range found {
			roots[m.CauseIndex(id)] += w
			all += w
		}
		switch {
		case len(found) > 0 && none:
			jobs, listed, unlisted, second = jobs+w, listed+w, unlisted+w, second+w
		case len(found) > 1:
			jobs, listed, second = jobs+w, listed+w, second+w
		case len(found) > 0:
			jobs, listed = jobs+w, listed+w
		case none:
			jobs, unlisted = jobs+w, unlisted+w
		}
	}
	s := p.b.Settings
	for i := range m.Causes {
		m.Causes[i].Share = share(s.Strength, m.Causes[i].Share, roots[i], all)
	}
	m.Unlisted = share(s.Strength, m.Unlisted, unlisted, jobs)
	m.SecondFault = share(s.Strength, m.SecondFault, second, listed)
	for i := range m.Observables {
		o := &m.Observables[i]
		for r := range o.Rows {
			p.move(o, o.Rows[r].P, m.Causes[o.Rows[r].Cause].ID)
		}
		p.move(o, o.Normally, "")
	}
	p.moveEffects(m)
	p.moveCures(m)
	p.moveMinutes(m)
	p.moveParts(m)
	return m
}

// toRow is how much of a job's findings of an observable counts to a row; cause
// "" is for `normally`.
func (p *plain) toRow(j *kb.Job, o *kb.Observable, cause string) float64 {
	known := p.known(j)
	if belief := p.belief(j); belief != nil {
		var part float64
		for _, id := range known {
			if id == cause || cause == "" && !p.hasRow(o, id) {
				part += belief[id]
			}
		}
		return part
	}
	bearing := slices.ContainsFunc(known, func(id string) bool { return p.hasRow(o, id) })
	if !p.only(j) || cause == "" && bearing || cause != "" && (len(known) != 1 || known[0] != cause) {
		return 0
	}
	return 1
}

// move moves one row, of all families; cause "" is for `normally`.
func (p *plain) move(o *kb.Observable, row []float64, cause string) {
	hits := make([]float64, len(row))
	var all float64
	for _, j := range p.jobs {
		if !p.told(j) || !slices.Contains(p.families(o), j.Family) {
			continue
		}
		part := p.weight(j) * p.toRow(j, o, cause)
		w := p.first(j, o)
		var sum float64
		for _, v := range w {
			sum += v
		}
		for k, v := range w {
			hits[k] += part * v / sum
			all += part * v / sum
		}
	}
	for k := range row {
		row[k] = share(p.b.Settings.TableStrength, row[k], hits[k], all)
	}
}

// told tells whether a job accounts for all that was wrong: listed causes only,
// or one of several that are all known.
func (p *plain) told(j *kb.Job) bool {
	return j.Closed() && len(p.known(j)) > 0 && (p.only(j) || p.belief(j) != nil && len(p.belief(j)) == len(distinct(j.Closing.Causes)))
}

func (p *plain) hasRow(o *kb.Observable, cause string) bool {
	return slices.ContainsFunc(authoredRows(p.b, o), func(r kb.Row) bool { return r.Cause == cause })
}

func (p *plain) families(o *kb.Observable) []string {
	if s, ok := p.b.Symptom(o.ID); ok {
		return s.Families
	}
	c, _ := p.b.Check(o.ID)
	return c.Families
}

// TestModelAgainstPlainCounting compares every number of the model with plain
// counting over the list of jobs.
func TestModelAgainstPlainCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		visits := drawVisits(t, b, 25)
		c := countVisits(b, visits)
		for _, family := range []string{kiln, oven} {
			got, err := c.Model(b, family, "", now)
			if err != nil {
				t.Fatal(err)
			}
			want := newPlain(b, visits).model(family)
			if diff := diffNear(want, got, 1e-9); diff != "" {
				t.Fatalf("family %s (-plain +learned):\n%s", family, diff)
			}
		}
	})
}
