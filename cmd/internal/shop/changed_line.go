package shop

import (
	"slices"
	"strings"

	"sootsayer/kb"
)

// wasLine returns the id of today that is most like a missing one, "" for none,
// and the line that gives the entry its former id. What cannot be found again
// under another id has no line: a value of a state, a reading, and what the base
// has for other families.
func wasLine(b *kb.Base, m kb.Missing) (near, line string) {
	if m.Family != "" {
		return "", ""
	}
	var have []string
	var was func(id string) []string
	switch m.Kind {
	case kb.KindFamily:
		have, was = idsAndWas(b.Families, func(e *kb.Family) (string, []string) { return e.ID, e.Was })
	case kb.KindState:
		have, was = idsAndWas(b.States, func(e *kb.State) (string, []string) { return e.ID, e.Was })
	case kb.KindSymptom:
		have, was = idsAndWas(b.Symptoms, func(e *kb.Symptom) (string, []string) { return e.ID, e.Was })
	case kb.KindCheck:
		have, was = idsAndWas(b.Checks, func(e *kb.Check) (string, []string) { return e.ID, e.Was })
	case kb.KindCause:
		have, was = idsAndWas(b.Causes, func(e *kb.Cause) (string, []string) { return e.ID, e.Was })
	case kb.KindFix:
		have, was = idsAndWas(b.Fixes, func(e *kb.Fix) (string, []string) { return e.ID, e.Was })
	case kb.KindPart:
		have, was = idsAndWas(b.Parts, func(e *kb.Part) (string, []string) { return e.ID, e.Was })
	case kb.KindOutcome:
		if c, ok := b.Check(m.Of); ok {
			have, was = idsAndWas(c.Outcomes, func(e *kb.Outcome) (string, []string) { return e.ID, e.Was })
			break
		}
		return "", "" // a symptom's outcomes are yes and no
	default:
		return "", ""
	}
	near, _ = kb.Nearest(m.ID, have)
	return near, "was: [" + strings.Join(append(slices.Clone(was(near)), m.ID), ", ") + "]"
}

// idsAndWas returns the ids of a list, and what gives the former ids of each.
func idsAndWas[T any](list []T, of func(*T) (id string, was []string)) ([]string, func(id string) []string) {
	have := make([]string, len(list))
	for i := range list {
		have[i], _ = of(&list[i])
	}
	return have, func(id string) []string {
		if i := slices.Index(have, id); i >= 0 {
			_, was := of(&list[i])
			return was
		}
		return nil
	}
}
