package kb

import (
	"fmt"
	"strconv"
)

// was examines former ids: one that something has today, or that two claim,
// would leave open what a job means by it.
func (l *linter) was() {
	formerIDs(l, "families", l.b.Families, func(e *Family) []string { return e.Was })
	formerIDs(l, "states", l.b.States, func(e *State) []string { return e.Was })
	formerIDs(l, "symptoms", l.b.Symptoms, func(e *Symptom) []string { return e.Was })
	formerIDs(l, "checks", l.b.Checks, func(e *Check) []string { return e.Was })
	formerIDs(l, "causes", l.b.Causes, func(e *Cause) []string { return e.Was })
	formerIDs(l, "fixes", l.b.Fixes, func(e *Fix) []string { return e.Was })
	formerIDs(l, "parts", l.b.Parts, func(e *Part) []string { return e.Was })
	each(l.b.Checks, l.formerOutcomes)
}

// formerIDs examines the former ids of one list.
func formerIDs[T any, E interface {
	*T
	entry
}](l *linter, list string, entries []T, was func(E) []string) {
	claimed := claims{noun: singular[list], today: func(id string) bool { return l.has(list, id) }}
	for i := range entries {
		e := E(&entries[i])
		for n, id := range was(e) {
			at := valueAt("was", strconv.Itoa(n))
			if list == "causes" && id == Unlisted {
				l.wrong(e, at, fmt.Sprintf("%q is no former id: it stands for what is not in the base", id), "take it out")
				continue
			}
			l.claim(&claimed, claim{by: label(e), entry: e, at: at}, id)
		}
	}
}

// formerOutcomes examines the former ids of a check's outcomes.
func (l *linter) formerOutcomes(c *Check) {
	have := indexOf(len(c.Outcomes), func(i int) string { return c.Outcomes[i].ID })
	claimed := claims{noun: "outcome", today: func(id string) bool { _, ok := have[id]; return ok }}
	for i := range c.Outcomes {
		o := &c.Outcomes[i]
		for n, id := range o.Was {
			at := valueAt("outcomes", strconv.Itoa(i), "was", strconv.Itoa(n))
			l.claim(&claimed, claim{by: entryLabel("outcome", o.ID), entry: c, at: at}, id)
		}
	}
}

// claims are the former ids of one list so far, each with its first claim.
type claims struct {
	noun  string
	today func(id string) bool
	first map[string]claim
}

type claim struct {
	by    string
	entry entry
	at    place
}

// claim takes in one claim to a former id, or reports what is wrong with it.
func (l *linter) claim(c *claims, by claim, id string) {
	first, again := c.first[id]
	switch {
	case c.today(id):
		l.wrong(by.entry, by.at, fmt.Sprintf("%q is in use today and no former id", id), "take it out, or rename the "+c.noun+" that has it")
	case again:
		l.wrong(by.entry, by.at, fmt.Sprintf("%q is claimed by %s too, at %s", id, first.by, first.at.in(first.entry.source())),
			"leave it with the one that it became")
	default:
		if c.first == nil {
			c.first = make(map[string]claim)
		}
		c.first[id] = by
	}
}
