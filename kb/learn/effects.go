package learn

import "sootsayer/kb"

// countEffects counts, for every cause that was there and every cause that it
// may lead to, a trial; and a hit where the effect was there too. Several causes
// that were there share the hit of a common effect: each is given the chance
// that it brought the effect along, l / (1 - prod(1 - l)) over the causes that
// were there, l being the authored chances (one expectation step for a noisy-OR,
// as in Dempster, Laird and Rubin 1977). With one of them that is 1.
//
// Only jobs with a single root count, all of whose causes it accounts for. One
// of several causes says nothing about effects. Nor does a closing that names an
// effect and leaves out what lies between it and the root.
func (f *FamilyCounts) countEffects(v *verdict, w worth) {
	if v.oneOf || len(v.roots) != 1 || !v.explained() {
		return
	}
	for _, from := range v.causes {
		for i := range from.effects {
			e := &from.effects[i]
			t := Trials{Jobs: w.sign, Weight: w.job}
			if e.of.in(v.causes) {
				t.Hits = w.job * e.p / e.of.broughtBy(v.causes)
			}
			addTo(f.Effects, e.key, t)
		}
	}
}

// explained tells whether every cause but the root is brought along directly by
// another one that is named.
func (v *verdict) explained() bool {
	for _, c := range v.causes {
		if c != v.roots[0] && !(c.broughtBy(v.causes) > 0) {
			return false
		}
	}
	return true
}

// broughtBy is the authored chance that causes which are there bring this one
// along: 1 - prod(1 - l).
func (c *cause) broughtBy(there []*cause) float64 {
	brought := 0.0
	for _, from := range there {
		for i := range from.effects {
			if from.effects[i].of == c {
				brought += from.effects[i].p * (1 - brought) // exact for one of them
			}
		}
	}
	return brought
}

func (c *cause) in(causes []*cause) bool {
	for _, other := range causes {
		if other == c {
			return true
		}
	}
	return false
}

// moveEffects moves the chances that causes bring others along, each to the mean
// of its Beta posterior.
func (c *Counts) moveEffects(m *kb.Model, strength, scale float64) {
	f := c.Families[m.Family]
	if f == nil {
		return
	}
	for i := range m.Causes {
		for j := range m.Causes[i].Effects {
			e := &m.Causes[i].Effects[j]
			if t, ok := f.Effects[effectKey(m.Causes[i].ID, m.Causes[e.Cause].ID)]; ok {
				e.P = t.posterior(strength, e.P, scale).mean()
			}
		}
	}
}

// effectKey is how an effect stands in FamilyCounts.Effects.
func effectKey(cause, effect string) string { return cause + ">" + effect }
