package kb

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// observed is what symptoms and checks have in common: an entry with outcomes,
// a table without causes and rows given causes.
type observed struct {
	entry
	families []string
	outcomes []string
	normally Table
	rows     Rows
}

func (s *Symptom) observed() observed {
	return observed{s, s.Families, []string{No, Yes}, s.Normally, s.If}
}

func (c *Check) observed() observed {
	return observed{c, c.Families, c.outcomeIDs(), c.Normally, c.If}
}

// tables examines the tables of symptoms and checks.
func (l *linter) tables() {
	each(l.b.Symptoms, func(s *Symptom) { l.observable(s.observed()) })
	each(l.b.Checks, func(c *Check) {
		l.outcomes(c)
		l.observable(c.observed())
	})
}

func (l *linter) observable(o observed) {
	l.distinct(o, o.families, "families", "family")
	known := l.outcomesKnown(o, o.normally, []string{"normally"})
	if sum, good := total(o.normally); good && known && (sum < 1-sumTolerance || sum > 1+sumTolerance) {
		l.wrong(o, valueAt("normally"), fmt.Sprintf(`"normally" sums to %.6g, not to 1`, sum), "make its probabilities sum to 1")
	}
	for _, row := range o.rows {
		l.row(o, row)
	}
}

// row examines one row of an `if` table.
func (l *linter) row(o observed, row Row) {
	if !l.has("causes", row.Cause) {
		l.unknown(o, keyAt("if", row.Cause), "causes", row.Cause)
	} else if c, _ := l.b.Cause(row.Cause); !sharesFamily(c, o.families) {
		l.wrong(o, keyAt("if", row.Cause), fmt.Sprintf("cause %q is in none of the families here (%s)", row.Cause, strings.Join(o.families, ", ")),
			fmt.Sprintf("remove the row, or give the cause a share or the %s a family", o.kind()))
	}
	at := []string{"if", row.Cause}
	known := l.outcomesKnown(o, row.Table, at)
	sum, good := total(row.Table)
	switch left := 1 - sum; {
	case !good || !known || len(row.Table) == 0:
	case left < -sumTolerance:
		l.wrong(o, valueAt(at...), fmt.Sprintf("the row for %q sums to %.6g, more than 1", row.Cause, sum), "make its probabilities sum to 1 or less")
	case left > sumTolerance && unnamedMass(o, row.Table) <= 0:
		what := fmt.Sprintf(`the row for %q leaves %.6g to outcomes that "normally" gives no chance`, row.Cause, left)
		if len(row.Table) == len(o.outcomes) {
			what = fmt.Sprintf("the row for %q names every outcome and sums to %.6g", row.Cause, sum)
		}
		l.wrong(o, valueAt(at...), what, "make its probabilities sum to 1")
	}
}

// outcomesKnown tells whether a table names only outcomes of the observable.
func (l *linter) outcomesKnown(o observed, t Table, at []string) bool {
	known := true
	for _, p := range t {
		if !slices.Contains(o.outcomes, p.Outcome) {
			known = false
			l.wrong(o, keyAt(append(at, p.Outcome)...), fmt.Sprintf("%q is not an outcome of this %s", p.Outcome, o.kind()),
				didYouMean(p.Outcome, o.outcomes, "its outcomes are "+strings.Join(o.outcomes, ", ")))
		}
	}
	return known
}

// total sums a table and tells whether every number in it is a probability;
// one that is not is reported as such and not by its sum.
func total(t Table) (sum float64, good bool) {
	for _, p := range t {
		if !probability.checkNumber(p.P).none() {
			return 0, false
		}
		sum += p.P
	}
	return sum, true
}

// unnamedMass is what `normally` gives to the outcomes that a row leaves out.
func unnamedMass(o observed, row Table) float64 {
	var mass float64
	for _, p := range o.normally {
		if _, named := row.P(p.Outcome); !named {
			mass += p.P
		}
	}
	return mass
}

// sharesFamily tells whether a cause occurs in one of the families.
func sharesFamily(c *Cause, families []string) bool {
	return slices.ContainsFunc(families, func(f string) bool { _, in := c.Share[f]; return in })
}

// distinct reports texts that stand twice in a list of an entry.
func (l *linter) distinct(e entry, list []string, field, noun string) {
	for i, s := range list {
		if slices.Contains(list[:i], s) {
			l.wrong(e, valueAt(field, strconv.Itoa(i)), fmt.Sprintf("%s %q is given twice", noun, s), "remove one of the two")
		}
	}
}
