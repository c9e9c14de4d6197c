package stock

// Frequent returns at most so many of the most frequent needs, and counts every
// other one to a need among them that takes a part of what it takes, or to jobs
// that need nothing. The weights sum to the same, and no kit fills fewer of them:
// what fills a need fills all that take less. So a search over the few gives a
// bound for all.
func (n *Needs) Frequent(most int) []Need {
	if len(n.Jobs) <= most {
		return n.Jobs
	}
	few := newCollected()
	for _, x := range n.Jobs[:most] {
		few.add(x.Takes, x.Weight)
	}
	none := len(few.needs)
	for _, x := range n.Jobs[most:] {
		i, ok := few.within(x.Takes)
		if !ok {
			i, none = none, none+1
			few.at[string(takesKey(nil, nil))] = i
			few.needs = append(few.needs, Need{})
		}
		few.needs[i].Weight += x.Weight
	}
	return few.needs
}

// mostDropped bounds how many parts are left out to find a need.
const mostDropped = 6

// within finds the need that takes the most of what is given and nothing else.
func (c *collected) within(takes []Take) (int, bool) {
	for drop := 1; drop <= min(mostDropped, len(takes)); drop++ {
		if i, ok := c.dropping(takes, nil, drop); ok {
			return i, true
		}
	}
	i, ok := c.at[string(takesKey(nil, nil))]
	return i, ok
}

// dropping looks up what is kept and taken with some of it left out.
func (c *collected) dropping(takes, kept []Take, drop int) (int, bool) {
	if drop == 0 {
		c.key = takesKey(takesKey(c.key[:0], kept), takes)
		i, ok := c.at[string(c.key)]
		return i, ok
	}
	for k := 0; k+drop <= len(takes); k++ {
		if i, ok := c.dropping(takes[k+1:], kept, drop-1); ok {
			return i, ok
		}
		kept = append(kept[:len(kept):len(kept)], takes[k])
	}
	return 0, false
}
