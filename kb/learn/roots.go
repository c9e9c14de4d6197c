package learn

import "sootsayer/kb"

// Roots sorts the causes of a closing of a family's job as Add does: the root
// causes, those that no other one named leads to; whether the unlisted cause is
// named; and what the family does not have, which is everything for a family
// that the base does not have. Of a job closed with one of several causes all
// of them are returned as roots.
func (c *Counts) Roots(family string, closing *kb.Closing) (roots []string, unlisted bool, unknown []string) {
	f := c.base.families[family]
	if f == nil {
		return nil, false, closing.Causes
	}
	var v verdict
	f.read(&v, closing)
	for _, root := range v.roots {
		roots = append(roots, root.id)
	}
	return roots, v.unlisted, v.unknown
}
