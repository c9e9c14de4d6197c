package index

import (
	"slices"

	"sootsayer/kb"
)

// The kinds of what is found, as in [Hit] and [Query].
const (
	KindSymptom = "symptom"
	KindCause   = "cause"
	KindCheck   = "check"
	KindFix     = "fix"
	KindPart    = "part"
	KindJob     = "job" // by JobIndex.Search only
)

// Kinds lists the kinds of entries of a base that are indexed.
func Kinds() []string { return []string{KindSymptom, KindCause, KindCheck, KindFix, KindPart} }

// The fields of the index, one for each role a text can have.
const (
	fieldPhrases = "phrases"
	fieldName    = "name"
	fieldBody    = "body"
	fieldID      = "id"
	fieldWords   = "words" // every word as written, for typing errors and half-typed words
)

// entriesOf lists the entries of a base in its own order. When an id stands
// twice in a list the first entry counts, as in kb.
func entriesOf(b *kb.Base) []entry {
	var out []entry
	out = appendSymptoms(out, b)
	out = appendCauses(out, b)
	out = appendChecks(out, b)
	out = appendFixes(out, b)
	out = appendParts(out, b)
	seen := map[string]bool{}
	return slices.DeleteFunc(out, func(e entry) bool {
		twice := seen[e.docID()]
		seen[e.docID()] = true
		return twice
	})
}

func appendSymptoms(out []entry, b *kb.Base) []entry {
	for _, s := range b.Symptoms {
		e := entry{kind: KindSymptom, id: s.ID, name: s.Name, families: some(s.Families)}
		e.add("name", s.Name)
		e.add("phrases", s.Phrases...)
		e.add("ask", s.Ask)
		out = append(out, e)
	}
	return out
}

func appendCauses(out []entry, b *kb.Base) []entry {
	for _, c := range b.Causes {
		e := entry{kind: KindCause, id: c.ID, name: c.Name, families: shareFamilies(c)}
		e.add("name", c.Name)
		if comp, ok := b.Component(c.Component); ok {
			e.add("component", comp.Name)
		}
		e.add("mode", c.Mode)
		e.add("note", c.Note)
		out = append(out, e)
	}
	return out
}

// appendChecks gives a check its steps and outcomes, and what the holds say
// that wait for it: who looks for a hold's words wants the check that ends it.
func appendChecks(out []entry, b *kb.Base) []entry {
	for _, c := range b.Checks {
		e := entry{kind: KindCheck, id: c.ID, name: c.Name, families: some(c.Families)}
		e.add("name", c.Name)
		e.add("how", c.How...)
		for _, o := range c.Outcomes {
			e.add("outcome", o.Name)
		}
		if c.Reading != nil {
			e.add("unit", c.Reading.Unit)
		}
		for _, h := range b.Holds {
			if h.Until.Check == c.ID {
				e.add("says", h.Says)
			}
		}
		out = append(out, e)
	}
	return out
}

func appendFixes(out []entry, b *kb.Base) []entry {
	families := map[string][]string{}
	for _, c := range b.Causes {
		families[c.Fix] = append(families[c.Fix], shareFamilies(c)...)
	}
	for _, f := range b.Fixes {
		e := entry{kind: KindFix, id: f.ID, name: f.Name, families: unique(families[f.ID])}
		e.add("name", f.Name)
		e.add("how", f.How...)
		for _, u := range f.Parts {
			if p, ok := b.Part(u.Part); ok {
				e.add("part", p.Name)
			}
		}
		out = append(out, e)
	}
	return out
}

// appendParts gives a part the families of the causes whose fixes use it; a
// part that no fix uses belongs to every family.
func appendParts(out []entry, b *kb.Base) []entry {
	fixFamilies := map[string][]string{}
	for _, c := range b.Causes {
		fixFamilies[c.Fix] = append(fixFamilies[c.Fix], shareFamilies(c)...)
	}
	families := map[string][]string{}
	for _, f := range b.Fixes {
		for _, u := range f.Parts {
			families[u.Part] = append(families[u.Part], fixFamilies[f.ID]...)
		}
	}
	for _, p := range b.Parts {
		e := entry{kind: KindPart, id: p.ID, name: p.Name, families: unique(families[p.ID])}
		e.add("name", p.Name)
		e.add("spec", p.Spec)
		out = append(out, e)
	}
	return out
}
