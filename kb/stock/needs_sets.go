package stock

import (
	"cmp"
	"math"
	"slices"

	"sootsayer/kb"
)

// Sets returns the sets of parts that a fix takes on a family's equipment, with
// chances that sum to 1.
func (c *CoUse) Sets(family, fix string) []PartSet {
	key := [2]string{family, fix}
	start, known := c.start[key]
	if !known {
		f, ok := c.base.Fix(fix)
		if !ok {
			return []PartSet{{Chance: 1}}
		}
		start = c.authored(f.PartsFor(family))
		c.start[key] = start
	}
	s := c.seen[key]
	if s == nil || !(s.times > 0) {
		return start
	}
	strength := c.base.Settings.TableStrength
	all := newCollected()
	for _, x := range start {
		all.add(x.Takes, x.Chance*strength/(strength+s.times))
	}
	for i := range s.sets.needs {
		all.add(s.sets.needs[i].Takes, s.sets.needs[i].Weight/(strength+s.times))
	}
	return all.sets()
}

// mostSets is how many sets of parts of one fix are kept apart; the others are
// so rare that they count to those, each by its chance.
const mostSets = 512

// authored lists the sets of parts by the base's chances.
func (c *CoUse) authored(uses []kb.PartUse) []PartSet {
	all := newCollected()
	all.add(nil, 1)
	group := make(map[string]bool)
	for i, use := range uses {
		if group[use.OneOf] {
			continue
		}
		alternatives := uses[i : i+1]
		if use.OneOf != "" {
			group[use.OneOf] = true
			alternatives = slices.DeleteFunc(slices.Clone(uses), func(u kb.PartUse) bool { return u.OneOf != use.OneOf })
		}
		all = c.choose(all, alternatives)
	}
	return all.sets()
}

// choose extends sets by one of several parts, or none of them.
func (c *CoUse) choose(sets *collected, alternatives []kb.PartUse) *collected {
	var sum float64
	for _, use := range alternatives {
		sum += use.Chance
	}
	next := newCollected()
	for i := range sets.needs {
		s := &sets.needs[i]
		for _, use := range alternatives {
			takes := s.Takes
			if at, known := c.part[use.Part]; known && use.Qty > 0 {
				takes = united(takes, []Take{{at, int(math.Ceil(use.Qty))}})
			}
			if use.Chance > 0 {
				next.add(takes, s.Weight*use.Chance/max(1, sum))
			}
		}
		if sum < 1-1e-12 {
			next.add(s.Takes, s.Weight*(1-sum))
		}
	}
	if len(next.needs) > mostSets {
		slices.SortStableFunc(next.needs, func(a, b Need) int { return cmp.Compare(b.Weight, a.Weight) })
		kept := newCollected()
		var all, left float64
		for i := range next.needs {
			if all += next.needs[i].Weight; i < mostSets {
				left = all
			}
		}
		for _, x := range next.needs[:mostSets] {
			kept.add(x.Takes, x.Weight*all/left)
		}
		next = kept
	}
	return next
}

func (c *collected) sets() []PartSet {
	list := make([]PartSet, 0, len(c.needs))
	for _, n := range c.needs {
		if n.Weight > 0 {
			list = append(list, PartSet{Takes: n.Takes, Chance: n.Weight})
		}
	}
	return list
}
