package kb

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// holds examines the safety rules: each must be able to begin and to end.
func (l *linter) holds() {
	each(l.b.Holds, func(h *Hold) {
		l.distinct(h, h.Families, "families", "family")
		l.trigger(h)
		l.clearance(h)
		for i, id := range h.KeepsBack.Checks {
			if c, ok := l.b.Check(id); ok && !slices.ContainsFunc(c.Families, func(f string) bool { return In(h.Families, f) }) {
				l.doubt(h, valueAt("keeps_back", strconv.Itoa(i)), fmt.Sprintf("check %q is in none of the families of this hold", id), "take it out or add its family")
			}
		}
	})
}

// trigger examines when a hold begins.
func (l *linter) trigger(h *Hold) {
	w := h.When
	kinds := 0
	for _, given := range []bool{w.Starts > 0, w.Symptom != "", w.Check != ""} {
		if given {
			kinds++
		}
	}
	if kinds != 1 {
		l.wrong(h, valueAt("when"), `"when" must name exactly one thing that brings the hold about`, "write one of {starts: 3}, {symptom: ..., outcome: ...} and {check: ..., outcome: ...}")
		return
	}
	var families []string
	if s, ok := l.b.Symptom(w.Symptom); ok {
		families = s.Families
		l.outcomeOf(h, valueAt("when", "outcome"), s.observed(), w.Outcome)
	}
	if c, ok := l.b.Check(w.Check); ok {
		families = c.Families
		l.outcomeOf(h, valueAt("when", "outcome"), c.observed(), w.Outcome)
	}
	if w.Starts > 0 && w.Outcome != "" {
		l.wrong(h, valueAt("when", "outcome"), "burner starts have no outcome", "take the outcome out")
	}
	for _, f := range h.Families {
		if families != nil && !In(families, f) && l.has("families", f) {
			l.doubt(h, valueAt("when"), fmt.Sprintf("it can never begin in family %q, which has not got its %s", f, cmp.Or(w.Symptom, w.Check)), "take the family out or add it there")
		}
	}
}

// clearance examines what ends a hold.
func (l *linter) clearance(h *Hold) {
	c, ok := l.b.Check(h.Until.Check)
	if !ok {
		return
	}
	l.outcomeOf(h, valueAt("until", "outcome"), c.observed(), h.Until.Outcome)
	for _, f := range h.Families {
		if !In(c.Families, f) && l.has("families", f) {
			l.wrong(h, valueAt("until", "check"), fmt.Sprintf("it can never end in family %q, which has no check %q", f, c.ID), "take the family out, or add it to the check")
		}
	}
	if h.StillCounts && h.When.Check != c.ID {
		l.wrong(h, valueAt("still_counts"), `"still_counts" needs one check that begins the hold and ends it`, `take it out: another check's finding replaces nothing`)
	}
	if h.When.Check == c.ID && (h.When.Outcome == h.Until.Outcome || h.When.Outcome == "") {
		l.wrong(h, valueAt("until"), "the finding that ends the hold brings it about", `name another outcome in "when" or in "until"`)
	}
}

// outcomeOf reports an outcome that the observable has not got; "" is none.
func (l *linter) outcomeOf(e entry, at place, o observed, outcome string) {
	if outcome != "" && !slices.Contains(o.outcomes, outcome) {
		l.wrong(e, at, fmt.Sprintf("%q is not an outcome of %s", outcome, label(o)), didYouMean(outcome, o.outcomes, "its outcomes are "+strings.Join(o.outcomes, ", ")))
	}
}
