package kb

import (
	"maps"
	"slices"
)

// Renamed returns a job as it would have been recorded in today's ids: every
// former id that it names is replaced by the present one of the entry (or of the
// outcome) that lists it in `was`. What the base neither has nor had stays as it
// is. Entries that became one add up: a cause, fix or part named twice then
// stands once, with the pieces of both.
//
// It returns the job itself and false where nothing had to be replaced, and
// changes nothing of the job that it was given. Doing it twice is doing it once.
func (b *Base) Renamed(j *Job) (*Job, bool) {
	f := &b.index.former
	if !f.any {
		return j, false
	}
	out, changed := *j, false
	if now, ok := f.families[j.Family]; ok {
		out.Family, changed = now, true
	}
	if acts, ok := renamedEach(j.Acts, f.act); ok {
		out.Acts, changed = acts, true
	}
	if past, ok := renamedEach(j.Past, f.closing); ok {
		out.Past, changed = past, true
	}
	if j.Closing != nil {
		if c, ok := f.closing(j.Closing); ok {
			out.Closing, changed = &c, true
		}
	}
	if !changed {
		return j, false
	}
	return &out, true
}

// act replaces the former ids of one act.
func (f *former) act(a *Act) (Act, bool) {
	out := *a
	switch {
	case a.Finding != nil:
		finding, ok := f.finding(a.Finding)
		out.Finding = finding
		return out, ok
	case a.Tried != "":
		now, ok := f.fixes[a.Tried]
		if ok {
			out.Tried = now
		}
		return out, ok
	}
	state, ok := renamedKeys(a.State, f.states, func(before, _ string) string { return before })
	out.State = state
	return out, ok
}

// finding replaces the former ids of a finding: of its check or symptom, and of
// its outcomes.
func (f *former) finding(g *Finding) (*Finding, bool) {
	out, changed := *g, false
	names := f.symptoms
	if g.Kind == KindCheck {
		names = f.checks
	}
	if now, ok := names[g.ID]; ok {
		out.ID, changed = now, true
	}
	if g.Kind == KindCheck {
		outcomes := f.outcomes[out.ID]
		if now, ok := outcomes[g.Outcome]; ok {
			out.Outcome, changed = now, true
		}
		if weights, ok := renamedKeys(g.Weights, outcomes, plus); ok {
			out.Weights, changed = weights, true
		}
	}
	if !changed {
		return g, false
	}
	return &out, true
}

// closing replaces the former ids of a closing. Of causes that became one
// nobody need say any more which of them it was.
func (f *former) closing(c *Closing) (Closing, bool) {
	out, changed := *c, false
	if causes, ok := renamedIDs(c.Causes, f.causes); ok {
		out.Causes, changed = causes, true
		out.OneOf = c.OneOf && len(causes) > 1
	}
	if fixes, ok := renamedIDs(c.Fixes, f.fixes); ok {
		out.Fixes, changed = fixes, true
	}
	if used, ok := renamedKeys(c.Used, f.parts, plus); ok {
		out.Used, changed = used, true
	}
	return out, changed
}

func plus(a, b float64) float64 { return a + b }

// renamedEach replaces items of a list in a copy of it, which is made when the
// first one has to be.
func renamedEach[T any](list []T, one func(*T) (T, bool)) ([]T, bool) {
	changed := false
	out := list
	for i := range list {
		item, ok := one(&list[i])
		if !ok {
			continue
		}
		if !changed {
			out, changed = slices.Clone(list), true
		}
		out[i] = item
	}
	return out, changed
}

// renamedIDs replaces former ids in a copy of a list, each id once.
func renamedIDs(ids []string, names map[string]string) ([]string, bool) {
	if len(names) == 0 || !slices.ContainsFunc(ids, func(id string) bool { _, ok := names[id]; return ok }) {
		return ids, false
	}
	out := make([]string, 0, len(ids))
	for _, id := range ids {
		if now, ok := names[id]; ok {
			id = now
		}
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out, true
}

// renamedKeys replaces former ids in the keys of a copy of a mapping. Values
// that come under one key are joined, those under present ids first and then in
// the order of the former ones, so that equal jobs stay equal to the last bit.
func renamedKeys[V any](m map[string]V, names map[string]string, join func(a, b V) V) (map[string]V, bool) {
	if len(names) == 0 {
		return m, false
	}
	var old []string
	for id := range m {
		if _, ok := names[id]; ok {
			old = append(old, id)
		}
	}
	if len(old) == 0 {
		return m, false
	}
	slices.Sort(old)
	out := maps.Clone(m)
	for _, id := range old {
		delete(out, id)
	}
	for _, id := range old {
		now, value := names[id], m[id]
		if before, there := out[now]; there {
			value = join(before, value)
		}
		out[now] = value
	}
	return out, true
}
