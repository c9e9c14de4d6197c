package kb

import "slices"

// former finds the present id of what a former one named: entries may list in
// `was` the ids they had before, so that what was recorded under them stays
// theirs. An id that an entry has today is never a former one, so that looking
// up twice changes nothing.
type former struct {
	families, states, symptoms, checks, causes, fixes, parts map[string]string
	outcomes                                                 map[string]map[string]string // by the present id of their check
	any                                                      bool
}

// formerIDs collects the former ids of a base whose look-ups by id stand.
func (b *Base) formerIDs() former {
	f := former{
		families: formerIn(b.Families, b.index.families, func(e *Family) (string, []string) { return e.ID, e.Was }),
		states:   formerIn(b.States, b.index.states, func(e *State) (string, []string) { return e.ID, e.Was }),
		symptoms: formerIn(b.Symptoms, b.index.symptoms, func(e *Symptom) (string, []string) { return e.ID, e.Was }),
		checks:   formerIn(b.Checks, b.index.checks, func(e *Check) (string, []string) { return e.ID, e.Was }),
		causes:   formerIn(b.Causes, b.index.causes, func(e *Cause) (string, []string) { return e.ID, e.Was }),
		fixes:    formerIn(b.Fixes, b.index.fixes, func(e *Fix) (string, []string) { return e.ID, e.Was }),
		parts:    formerIn(b.Parts, b.index.parts, func(e *Part) (string, []string) { return e.ID, e.Was }),
	}
	delete(f.causes, Unlisted) // it stands for what is not in the base
	f.parts = b.withSuperseded(f.parts)
	for i := range b.Checks {
		c := &b.Checks[i]
		if names := c.formerOutcomes(); names != nil {
			if f.outcomes == nil {
				f.outcomes = make(map[string]map[string]string)
			}
			f.outcomes[c.ID] = names
		}
	}
	for _, names := range []map[string]string{f.families, f.states, f.symptoms, f.checks, f.causes, f.fixes, f.parts} {
		f.any = f.any || len(names) > 0
	}
	f.any = f.any || len(f.outcomes) > 0
	return f
}

// formerOutcomes maps the former ids of a check's outcomes to the present ones;
// nil when there are none.
func (c *Check) formerOutcomes() map[string]string {
	if !slices.ContainsFunc(c.Outcomes, func(o Outcome) bool { return len(o.Was) > 0 }) {
		return nil
	}
	have := indexOf(len(c.Outcomes), func(i int) string { return c.Outcomes[i].ID })
	return formerIn(c.Outcomes, have, func(o *Outcome) (string, []string) { return o.ID, o.Was })
}

// formerIn maps the former ids of one list to the present ones; nil when there
// are none. What Lint refuses is passed over: a former id that an entry has
// today, and the second claim to one.
func formerIn[T any](list []T, present map[string]int, of func(*T) (id string, was []string)) map[string]string {
	var names map[string]string
	for i := range list {
		id, was := of(&list[i])
		for _, w := range was {
			_, today := present[w]
			if _, claimed := names[w]; today || claimed {
				continue
			}
			if names == nil {
				names = make(map[string]string)
			}
			names[w] = id
		}
	}
	return names
}

// of returns the former ids of a list, named as in Base.IDs.
func (f *former) of(list string) map[string]string {
	switch list {
	case "families":
		return f.families
	case "states":
		return f.states
	case "symptoms":
		return f.symptoms
	case "checks":
		return f.checks
	case "causes":
		return f.causes
	case "fixes":
		return f.fixes
	case "parts":
		return f.parts
	}
	return nil
}

// Today returns the id that something has today: where an entry of the list,
// named as in IDs, says in `was` that it had the id before, that entry's id; of a
// part that was superseded, the id of the one that replaces it; else the id
// itself, whether or not the base has it.
func (b *Base) Today(list, id string) string {
	if now, ok := b.index.former.of(list)[id]; ok {
		return now
	}
	return id
}
