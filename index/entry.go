package index

import (
	"maps"
	"slices"

	"sootsayer/kb"
)

// entry is one entry of the base with the texts by which it is found.
type entry struct {
	kind, id, name string
	families       []string // nil: every family
	texts          []passage
}

// passage is one text of an entry. Source is the name of the text in the base
// (phrases, name, how, ask, note and so on), or learned.
type passage struct {
	source, text string
}

// docID is the entry's id in bleve; ids are unique within a kind only.
func (e *entry) docID() string { return e.kind + "/" + e.id }

// in tells whether the entry belongs to a family; "" means any.
func (e *entry) in(family string) bool {
	return family == "" || e.families == nil || slices.Contains(e.families, family)
}

func (e *entry) add(source string, texts ...string) {
	for _, t := range texts {
		if t != "" {
			e.texts = append(e.texts, passage{source, t})
		}
	}
}

// field returns the field of the index that a text goes to.
func (p passage) field() string {
	switch p.source {
	case fieldPhrases, fieldName:
		return p.source
	}
	return fieldBody
}

// shareFamilies are the families in which a cause occurs.
func shareFamilies(c kb.Cause) []string {
	var out []string
	for f, share := range c.Share {
		if share > 0 {
			out = append(out, f)
		}
	}
	return unique(out)
}

// unique sorts a list and drops doubles; nil for an empty one.
func unique(list []string) []string {
	set := map[string]bool{}
	for _, s := range list {
		set[s] = true
	}
	return some(slices.Sorted(maps.Keys(set)))
}

// some returns the list, or nil when it is empty.
func some(list []string) []string {
	if len(list) == 0 {
		return nil
	}
	return list
}
