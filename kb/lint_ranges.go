package kb

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// outcomes examines a check's outcomes and the readings that give them.
func (l *linter) outcomes(c *Check) {
	seen := make(map[string]bool, len(c.Outcomes))
	ranges := 0
	for i, o := range c.Outcomes {
		if seen[o.ID] {
			l.wrong(c, valueAt("outcomes", strconv.Itoa(i)), fmt.Sprintf("outcome %q is given twice", o.ID), "rename or remove one of the two")
		}
		seen[o.ID] = true
		if o.From != nil || o.To != nil {
			ranges++
		}
	}
	switch {
	case c.Reading == nil && ranges > 0:
		i := slices.IndexFunc(c.Outcomes, func(o Outcome) bool { return o.From != nil || o.To != nil })
		l.wrong(c, valueAt("outcomes", strconv.Itoa(i)), fmt.Sprintf("outcome %q has a range but the check has no reading", c.Outcomes[i].ID),
			`add reading: {unit: ...}, or take "from" and "to" out`)
	case c.Reading == nil:
	case ranges == 0:
		l.wrong(c, valueAt("reading"), "the check has a reading but its outcomes have no ranges", `give each outcome "from", "to" or both`)
	case ranges < len(c.Outcomes):
		i := slices.IndexFunc(c.Outcomes, func(o Outcome) bool { return o.From == nil && o.To == nil })
		l.wrong(c, valueAt("outcomes", strconv.Itoa(i)), fmt.Sprintf("outcome %q has no range and the others have", c.Outcomes[i].ID), `give it "from", "to" or both`)
	default:
		l.tiling(c)
	}
	if c.Reading != nil {
		l.reading(c)
	}
}

// reading examines the number that a check yields.
func (l *linter) reading(c *Check) {
	r := c.Reading
	if r.Min != nil && r.Max != nil && *r.Min >= *r.Max {
		l.wrong(c, valueAt("reading", "min"), fmt.Sprintf(`"min" %s is not below "max" %s`, number(*r.Min), number(*r.Max)), "swap or mend them")
	}
	if len(r.Inputs) > 0 || r.Value != "" {
		l.doubt(c, valueAt("reading"), "this version does not work readings out", "say in the name and the steps how the value is worked out; people enter the worked-out value")
	}
}

// ranged is an outcome with its range, unbounded sides infinite, and where it
// stands in the list.
type ranged struct {
	Outcome
	lo, hi float64
	i      int
}

// tiling reports ranges that overlap or leave gaps: together they cover every
// reading from the reading's min to its max, or the whole line where it has none.
func (l *linter) tiling(c *Check) {
	list := make([]ranged, len(c.Outcomes))
	for i, o := range c.Outcomes {
		r := o.Range()
		list[i] = ranged{o, r.From, r.To, i}
		if !(r.From < r.To) {
			l.wrong(c, valueAt("outcomes", strconv.Itoa(i)), fmt.Sprintf(`outcome %q: "from" %s is not below "to" %s`, o.ID, number(r.From), number(r.To)), "swap or mend them")
			return
		}
	}
	slices.SortStableFunc(list, func(a, b ranged) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi)) })
	l.ends(c, list)
	far := list[0] // the outcome that reaches furthest so far
	for _, next := range list[1:] {
		l.seam(c, far, next)
		if next.hi > far.hi {
			far = next
		}
	}
}

// seam reports an overlap or a gap between neighbours.
func (l *linter) seam(c *Check, low, high ranged) {
	var what string
	switch unit := c.Reading.Unit; {
	case high.lo < low.hi:
		what = fmt.Sprintf("outcomes %q and %q overlap at %s %s", low.ID, high.ID, number(high.overlapAt(low)), unit)
	case high.lo > low.hi:
		what = fmt.Sprintf("outcomes %q and %q leave a gap from %s to %s %s", low.ID, high.ID, number(low.hi), number(high.lo), unit)
	default:
		return
	}
	l.wrong(c, high.bound("from", high.From), what, `make "to" and "from" meet`)
}

// overlapAt is a finite reading that two overlapping outcomes both claim.
func (r ranged) overlapAt(low ranged) float64 {
	if !math.IsInf(r.lo, 0) {
		return r.lo
	}
	return min(r.hi, low.hi) // finite: two outcomes without bounds do not get here
}

// ends reports readings below the lowest and above the highest outcome.
func (l *linter) ends(c *Check, list []ranged) {
	least, most := math.Inf(-1), math.Inf(1)
	if c.Reading.Min != nil {
		least = *c.Reading.Min
	}
	if c.Reading.Max != nil {
		most = *c.Reading.Max
	}
	// A lower bound is exclusive: at the reading's min it would leave the min out.
	if low := list[0]; low.lo >= least && low.From != nil {
		l.wrong(c, low.bound("from", low.From), fmt.Sprintf("readings up to and at %s %s give no outcome", number(low.lo), c.Reading.Unit), fmt.Sprintf(`take "from" out of %q, or give the reading a min above it`, low.ID))
	}
	high := slices.MaxFunc(list, func(a, b ranged) int { return cmp.Compare(a.hi, b.hi) })
	if high.hi < most {
		l.wrong(c, high.bound("to", high.To), fmt.Sprintf("readings over %s %s give no outcome", number(high.hi), c.Reading.Unit), fmt.Sprintf(`take "to" out of %q, or give the reading a max`, high.ID))
	}
}

// bound is the place of an outcome's bound, or of the outcome without one.
func (r ranged) bound(field string, v *float64) place {
	if v == nil {
		return valueAt("outcomes", strconv.Itoa(r.i))
	}
	return valueAt("outcomes", strconv.Itoa(r.i), field)
}
