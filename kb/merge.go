package kb

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
)

// loaded is what a base keeps of how it was read, for lint.
type loaded struct {
	partial  bool     // a file or an entry could not be read, so ids may be missing
	synonyms []origin // of each group of Base.Synonyms
}

// merger puts the documents of a base together.
type merger struct {
	base     *Base
	problems Problems
	settings *Pos           // where the settings were given
	seen     map[string]Pos // where the entry of a label was given
}

func newMerger() *merger {
	return &merger{base: &Base{Schema: SchemaVersion, Settings: DefaultSettings()}, seen: map[string]Pos{}}
}

func (m *merger) problem(p Problem) { m.problems = append(m.problems, p) }

// unreadable reports a file of which nothing is known: ids may be in it that
// the others name.
func (m *merger) unreadable(p Problem) {
	m.base.loaded.partial = true
	m.problem(p)
}

// add merges one document.
func (m *merger) add(b *Base, file string, root *node, problems Problems) {
	m.problems = append(m.problems, problems...)
	if slices.ContainsFunc(problems, func(p Problem) bool { return p.Entry == "" }) {
		m.base.loaded.partial = true // a list may be missing
	}
	if at, key := root.child("settings"); at != nil {
		if m.settings != nil {
			m.problem(Problem{Pos: key.pos(file), What: fmt.Sprintf("the settings are given twice, first at %s", m.settings), Do: "put them in one place"})
		} else {
			pos := key.pos(file)
			m.settings, m.base.Settings = &pos, b.Settings
			m.base.Settings.origin = origin{file: file, node: at}
		}
	}
	into := m.base
	mergeList(m, &into.Families, b.Families)
	mergeList(m, &into.Components, b.Components)
	mergeList(m, &into.States, b.States)
	mergeList(m, &into.Symptoms, b.Symptoms)
	mergeList(m, &into.Checks, b.Checks)
	mergeList(m, &into.Causes, b.Causes)
	mergeList(m, &into.Fixes, b.Fixes)
	mergeList(m, &into.Parts, b.Parts)
	mergeList(m, &into.Holds, b.Holds)
	groups, _ := root.child("synonyms")
	for i, group := range b.Synonyms {
		item, _ := groups.child(strconv.Itoa(i))
		into.Synonyms = append(into.Synonyms, group)
		into.loaded.synonyms = append(into.loaded.synonyms, origin{file: file, node: item, broken: len(group) == 0})
	}
}

// mergeList appends the entries of one document, but not those without an id
// and not those whose id another entry of the list has; both are reported.
func mergeList[T any, E interface {
	*T
	entry
}](m *merger, into *[]T, list []T) {
	for i := range list {
		e := E(&list[i])
		if e.key() == "" {
			m.base.loaded.partial = true
			continue
		}
		pos := e.source().at("id")
		if first, dup := m.seen[label(e)]; dup {
			m.problem(Problem{Pos: pos, Entry: label(e), What: fmt.Sprintf("the id is given twice, first at %s", first), Do: "rename or remove one of the two"})
			continue
		}
		m.seen[label(e)] = pos
		*into = append(*into, list[i])
	}
}

// done returns what was found, in file order, at most maxProblems and a line
// that says how many more there are.
func (m *merger) done() Problems {
	ps := m.problems.InOrder()
	if len(ps) <= maxProblems {
		return ps
	}
	more := len(ps) - maxProblems
	return append(ps[:maxProblems:maxProblems], Problem{What: fmt.Sprintf("%d more errors are not shown", more), Do: "mend these first"})
}

// InOrder sorts problems by file, line and column, and returns them. It puts
// those of Load and of Lint together.
func (ps Problems) InOrder() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return ps
}
