package kb

import "slices"

// lookup finds entries by id; it is rebuilt by Base.Reindex.
type lookup struct {
	families, components, states, symptoms, checks, causes, fixes, parts, holds map[string]int
	former                                                                      former
}

// Reindex rebuilds the id look-ups after the lists of a base were changed.
// When an id stands twice the first entry is found; Lint reports the second.
func (b *Base) Reindex() {
	b.index = lookup{
		families:   indexOf(len(b.Families), func(i int) string { return b.Families[i].ID }),
		components: indexOf(len(b.Components), func(i int) string { return b.Components[i].ID }),
		states:     indexOf(len(b.States), func(i int) string { return b.States[i].ID }),
		symptoms:   indexOf(len(b.Symptoms), func(i int) string { return b.Symptoms[i].ID }),
		checks:     indexOf(len(b.Checks), func(i int) string { return b.Checks[i].ID }),
		causes:     indexOf(len(b.Causes), func(i int) string { return b.Causes[i].ID }),
		fixes:      indexOf(len(b.Fixes), func(i int) string { return b.Fixes[i].ID }),
		parts:      indexOf(len(b.Parts), func(i int) string { return b.Parts[i].ID }),
		holds:      indexOf(len(b.Holds), func(i int) string { return b.Holds[i].ID }),
	}
	b.index.former = b.formerIDs()
}

func indexOf(n int, id func(int) string) map[string]int {
	m := make(map[string]int, n)
	for i := range n {
		if _, dup := m[id(i)]; !dup {
			m[id(i)] = i
		}
	}
	return m
}

func find[T any](list []T, index map[string]int, id string) (*T, bool) {
	i, ok := index[id]
	if !ok {
		return nil, false
	}
	return &list[i], true
}

// Family returns the family with the id.
func (b *Base) Family(id string) (*Family, bool) { return find(b.Families, b.index.families, id) }

// Component returns the component with the id.
func (b *Base) Component(id string) (*Component, bool) {
	return find(b.Components, b.index.components, id)
}

// State returns the state with the id.
func (b *Base) State(id string) (*State, bool) { return find(b.States, b.index.states, id) }

// Symptom returns the symptom with the id.
func (b *Base) Symptom(id string) (*Symptom, bool) { return find(b.Symptoms, b.index.symptoms, id) }

// Check returns the check with the id.
func (b *Base) Check(id string) (*Check, bool) { return find(b.Checks, b.index.checks, id) }

// Cause returns the cause with the id.
func (b *Base) Cause(id string) (*Cause, bool) { return find(b.Causes, b.index.causes, id) }

// Fix returns the fix with the id.
func (b *Base) Fix(id string) (*Fix, bool) { return find(b.Fixes, b.index.fixes, id) }

// Part returns the part with the id.
func (b *Base) Part(id string) (*Part, bool) { return find(b.Parts, b.index.parts, id) }

// Hold returns the hold with the id.
func (b *Base) Hold(id string) (*Hold, bool) { return find(b.Holds, b.index.holds, id) }

// In tells whether a list of families names the family.
func In(families []string, family string) bool { return slices.Contains(families, family) }

// IDs returns the ids of one list of the base, named as in YAML (families,
// components, states, symptoms, checks, causes, fixes, parts, holds), in base
// order; nil for another name.
func (b *Base) IDs(list string) []string {
	switch list {
	case "families":
		return ids(b.Families, func(e Family) string { return e.ID })
	case "components":
		return ids(b.Components, func(e Component) string { return e.ID })
	case "states":
		return ids(b.States, func(e State) string { return e.ID })
	case "symptoms":
		return ids(b.Symptoms, func(e Symptom) string { return e.ID })
	case "checks":
		return ids(b.Checks, func(e Check) string { return e.ID })
	case "causes":
		return ids(b.Causes, func(e Cause) string { return e.ID })
	case "fixes":
		return ids(b.Fixes, func(e Fix) string { return e.ID })
	case "parts":
		return ids(b.Parts, func(e Part) string { return e.ID })
	case "holds":
		return ids(b.Holds, func(e Hold) string { return e.ID })
	}
	return nil
}

func ids[T any](list []T, id func(T) string) []string {
	out := make([]string, len(list))
	for i, e := range list {
		out[i] = id(e)
	}
	return out
}
