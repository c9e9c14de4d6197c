package kb

import (
	"fmt"
	"strconv"
)

// fixesAndParts examines fixes with their proofs and parts, and warns of
// entries that nothing uses: most often a slip in an id.
func (l *linter) fixesAndParts() {
	usedParts, usedFixes, usedComponents := map[string]bool{}, map[string]bool{}, map[string]bool{}
	each(l.b.Causes, func(c *Cause) {
		usedFixes[c.Fix], usedComponents[c.Component] = true, true
		l.proof(c)
	})
	each(l.b.Fixes, func(f *Fix) {
		l.partUses(f, usedParts)
		l.oneOf(f)
		if f.Proof == "" {
			l.doubt(f, valueAt(), "no check proves that it worked", "add proof: with the id of a check")
		}
		l.unused(f, usedFixes, "no cause is cured by it")
	})
	stockedOtherwise(l.b.Parts, usedParts)
	each(l.b.Parts, func(p *Part) { l.unused(p, usedParts, "no fix uses it") })
	each(l.b.Components, func(c *Component) {
		l.distinct(c, c.Families, "families", "family")
		l.unused(c, usedComponents, "no cause names it")
	})
}

func (l *linter) unused(e entry, used map[string]bool, what string) {
	if !used[e.key()] && !l.b.loaded.partial {
		l.doubt(e, valueAt("id"), what, "use it or take it out")
	}
}

// proof reports a cause whose fix is proved by a check that the cause's family
// has not got.
func (l *linter) proof(c *Cause) {
	f, ok := l.b.Fix(c.Fix)
	if !ok {
		return
	}
	check, ok := l.b.Check(f.Proof)
	if !ok {
		return
	}
	for _, family := range sortedKeys(c.Share) {
		if !In(check.Families, family) && l.has("families", family) {
			l.wrong(f, valueAt("proof"), fmt.Sprintf("check %q does not belong to family %q, in which it would prove the fix of cause %q", check.ID, family, c.ID), "name another proof or add the family to the check")
		}
	}
}

// partUses examines the parts of a fix.
func (l *linter) partUses(f *Fix, used map[string]bool) {
	seen := map[string]bool{}
	for i, p := range f.Parts {
		used[p.Part] = true
		at := func(field string) place { return valueAt("parts", strconv.Itoa(i), field) }
		if seen[p.Part] {
			l.wrong(f, at("part"), fmt.Sprintf("part %q is given twice", p.Part), "put the two together: pieces in qty, how often in chance")
		}
		seen[p.Part] = true
		if p.Qty == 0 {
			l.wrong(f, at("qty"), fmt.Sprintf("no piece of part %q is used", p.Part), "write how many pieces, or take the part out")
		}
		if p.Chance == 0 {
			l.wrong(f, at("chance"), fmt.Sprintf("part %q is never used", p.Part), "write how often it is, from 0 to 1, or take the part out")
		}
	}
}
