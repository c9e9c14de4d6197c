package stock

import "slices"

// Value works out what a kit, pieces by part, is worth for all jobs, whether or
// not they were looked at when it was chosen: a truck is filled up after `jobs`
// of them. Bound is what it fills.
func (n *Needs) Value(parts []KitPart, jobs int, carry []int) Kit {
	p := KitProblem{Parts: slices.Clone(parts), Needs: n.Jobs, Jobs: jobs}
	for i := range p.Parts {
		p.Parts[i].Most = 0 // there is what there is
	}
	t := newValues(&p)
	used := slices.Clone(carry)
	for i := range used {
		used[i] = min(used[i], t.most[i]) // no tour takes more
	}
	k := t.kit(used)
	k.Bound = k.Filled
	k.Adds = t.adds(used)
	k.Carry, k.Cost = slices.Clone(carry), t.cost(carry)
	return k
}
