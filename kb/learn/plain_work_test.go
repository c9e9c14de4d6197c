package learn

import (
	"math"
	"slices"

	"sootsayer/kb"
)

func (p *plain) fixOf(cause string) string { c, _ := p.b.Cause(cause); return c.Fix }

// done are the fixes done at a closing: those stated, else those of the causes.
func (p *plain) done(c *kb.Closing, family string) []string {
	var done []string
	for _, id := range c.Fixes {
		if _, ok := p.b.Fix(id); ok {
			done = append(done, id)
		}
	}
	if len(c.Fixes) == 0 {
		for _, id := range c.Causes {
			if p.inFamily(id, family) {
				done = append(done, p.fixOf(id))
			}
		}
	}
	return distinct(done)
}

// treated is the chance that a fix treats a cause that a job was closed with.
func (p *plain) treated(j *kb.Job, fix string) float64 {
	var part float64
	belief := p.belief(j)
	for _, id := range p.known(j) {
		if p.fixOf(id) != fix {
			continue
		}
		if belief == nil {
			return 1
		}
		part += belief[id]
	}
	return part
}

func (p *plain) moveEffects(m *kb.Model) {
	for i := range m.Causes {
		from := m.Causes[i].ID
		for k := range m.Causes[i].Effects {
			e := &m.Causes[i].Effects[k]
			effect := m.Causes[e.Cause].ID
			var hits, trials float64
			for _, j := range p.jobs {
				known := []string{}
				if j.Closed() && j.Family == m.Family && p.belief(j) == nil && p.told(j) && len(p.roots(j)) == 1 {
					known = p.known(j)
				}
				chance := func(to string) float64 {
					none := 1.0
					for _, id := range known {
						c, _ := p.b.Cause(id)
						none *= 1 - c.LeadsTo[to]
					}
					return 1 - none
				}
				if slices.ContainsFunc(known, func(id string) bool { return id != p.roots(j)[0] && chance(id) == 0 }) || !slices.Contains(known, from) {
					continue
				}
				trials += p.weight(j)
				if slices.Contains(known, effect) {
					c, _ := p.b.Cause(from)
					hits += p.weight(j) * c.LeadsTo[effect] / chance(effect)
				}
			}
			e.P = share(p.b.Settings.Strength, e.P, hits, trials)
		}
	}
}

// went is how much the trials of a fix in one visit weigh, and those that held.
func (p *plain) went(v visit, fix string) (held, all float64) {
	j := v.job
	if v.cameBack {
		return p.cameBack(v, fix)
	}
	if !p.told(j) || p.treated(j, fix) == 0 {
		return 0, 0
	}
	w := p.weight(j) * p.treated(j, fix)
	still, took := p.known(j), false
	for _, a := range j.Acts {
		of := func(id string) bool { return p.fixOf(id) == a.Tried }
		if a.Tried == "" || !slices.ContainsFunc(still, of) {
			continue
		}
		rest := slices.DeleteFunc(slices.Clone(still), of)
		switch {
		case p.belief(j) != nil || len(rest) == 0:
			if a.Tried == fix {
				all += w
			}
		default:
			still = rest
			took = took || a.Tried == fix
		}
	}
	for i := range j.Past {
		if slices.Contains(p.done(&j.Past[i], j.Family), fix) {
			all += w
		}
	}
	if took || slices.Contains(p.done(j.Closing, j.Family), fix) {
		held, all = held+w, all+w
	}
	return held, all
}

func (p *plain) cameBack(v visit, fix string) (held, all float64) {
	j, speaks, closed := v.job, v.job, v.back != nil && v.back.Closed()
	if closed {
		speaks = v.back
	}
	if !p.told(speaks) || p.treated(speaks, fix) == 0 || !slices.Contains(p.done(j.Closing, j.Family), fix) {
		return 0, 0
	}
	w := p.age(j) * speaks.Closing.Confidence * p.treated(speaks, fix)
	if closed || p.belief(speaks) != nil {
		return 0, w
	}
	product, n := 1.0, 0
	for _, id := range p.done(j.Closing, j.Family) {
		if f, _ := p.b.Fix(id); p.treated(j, id) > 0 {
			product, n = product*f.Cures, n+1
		}
	}
	f, _ := p.b.Fix(fix)
	failed := (1 - f.Cures) / (1 - product)
	if product == 1 {
		failed = 1 / float64(n)
	}
	return w * (1 - failed), w
}

func (p *plain) moveCures(m *kb.Model) {
	for i := range m.Fixes {
		var held, all float64
		for _, v := range p.visits {
			if v.job.Closed() && (v.job.Family == kiln || v.job.Family == oven) {
				h, a := p.went(v, m.Fixes[i].ID)
				held, all = held+h, all+a
			}
		}
		m.Fixes[i].Cures = share(p.b.Settings.Strength, m.Fixes[i].Cures, held, all)
	}
}

// lasted are the stated minutes of a thing with their weights.
type lasted struct{ minutes, weight float64 }

// expected puts the authored mean in as observations of its own, as many as it
// is worth, with a coefficient of variation of a half: the mean and variance of
// the logarithms of all together.
func (p *plain) expected(mean float64, list []lasted) float64 {
	k := p.b.Settings.MinutesStrength
	s2 := math.Log(1.25)
	mu0 := math.Log(mean) - s2/2
	n, sum := k, k*mu0
	for _, l := range list {
		n, sum = n+l.weight, sum+l.weight*math.Log(l.minutes)
	}
	if len(list) == 0 {
		return mean
	}
	mu := sum / n
	squares := k * (s2 + (mu0-mu)*(mu0-mu))
	for _, l := range list {
		squares += l.weight * math.Pow(math.Log(l.minutes)-mu, 2)
	}
	return math.Exp(mu + squares/n/2)
}

func (p *plain) moveMinutes(m *kb.Model) {
	for i := range m.Observables {
		o := &m.Observables[i]
		var list []lasted
		for _, v := range p.visits {
			for _, a := range v.job.Acts {
				if f := a.Finding; v.job.Closed() && f != nil && f.Minutes > 0 && f.Kind == o.Kind && f.ID == o.ID && slices.Contains(p.families(o), v.job.Family) {
					list = append(list, lasted{f.Minutes, p.age(v.job)})
				}
			}
		}
		o.Minutes = p.expected(o.Minutes, list)
	}
	for i := range m.Fixes {
		f := &m.Fixes[i]
		var list []lasted
		for _, v := range p.visits {
			if v.job.Closed() && v.job.Family != "shed" {
				list = append(list, p.timed(v.job, f.ID)...)
			}
		}
		var proof float64
		if f.Proof >= 0 {
			proof = m.Observables[f.Proof].Minutes
		}
		if len(list) > 0 {
			f.Minutes = max(0.01, p.expected(f.Minutes+proof, list)-proof)
		}
	}
}

func (p *plain) timed(j *kb.Job, fix string) []lasted {
	var list []lasted
	for _, a := range j.Acts {
		if a.Tried == fix && a.Minutes > 0 {
			list = append(list, lasted{a.Minutes, p.age(j)})
		}
	}
	for _, c := range append(slices.Clone(j.Past), *j.Closing) {
		if c.FixMinutes > 0 && slices.Equal(p.done(&c, j.Family), []string{fix}) {
			list = append(list, lasted{c.FixMinutes, p.age(j)})
		}
	}
	return list
}

// took is what one closing says of a part of a fix: how much of the part's use
// is the fix's, and how many pieces; and whether it says anything.
func (p *plain) took(j *kb.Job, i int, fix, part string) (share, pieces float64, says bool) {
	closings := append(slices.Clone(j.Past), *j.Closing)
	c := closings[i]
	done := p.done(&c, j.Family)
	for _, a := range j.Acts {
		_, known := p.b.Fix(a.Tried)
		if known && (i == 0 || a.At.After(closings[i-1].At)) && (i == len(j.Past) || !a.At.After(c.At)) {
			done = distinct(append(done, a.Tried))
		}
	}
	if c.Used == nil || !slices.Contains(done, fix) {
		return 0, 0, false
	}
	chances := map[string]float64{}
	var all float64
	for _, id := range done {
		f, _ := p.b.Fix(id)
		for _, use := range f.PartsFor(j.Family) {
			if use.Part == part {
				chances[id] = use.Chance
				all += use.Chance
			}
		}
	}
	own, listed := chances[fix]
	switch {
	case len(chances) == 0 && len(done) == 1:
		share = 1
	case listed && all == 0:
		share = 1 / float64(len(chances))
	case listed:
		share = own / all
	}
	return share, c.Used[part], true
}

func (p *plain) moveParts(m *kb.Model) {
	for i := range m.Fixes {
		f := &m.Fixes[i]
		for k := range f.Parts {
			use := &f.Parts[k]
			s := p.b.Settings.TableStrength
			var hits, trials, pieces float64
			for _, v := range p.visits {
				if !v.job.Closed() || v.job.Family != m.Family {
					continue
				}
				for c := range len(v.job.Past) + 1 {
					share, qty, says := p.took(v.job, c, f.ID, use.Part)
					if !says {
						continue
					}
					w := p.age(v.job)
					trials += w
					if qty > 0 {
						hits, pieces = hits+w*share, pieces+w*share*qty
					}
				}
			}
			if n := s*use.Chance + hits; n > 0 {
				use.Qty = (s*use.Chance*use.Qty + pieces) / n
			}
			use.Chance = share(s, use.Chance, hits, trials)
		}
	}
}
