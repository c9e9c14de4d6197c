package kb

import "fmt"

// sumTolerance is how far the sum of probabilities may be from 1: decimal
// fractions do not add up exactly.
const sumTolerance = 1e-9

// Lint tells whether a base makes sense: errors keep it from being used,
// warnings do not. Problems come in file order, errors and warnings capped at
// some hundreds each. Entries in which Load found errors are passed over, so
// the problems of both can be shown together. A base that did not come from
// YAML is held to the rules of the `kb` tags as well.
//
// The time is n log n in the size of the base, for a bounded number of states
// and families.
func (b *Base) Lint() Problems {
	own := *b // look-ups of its own, for a base whose lists were changed since
	own.Reindex()
	l := &linter{b: &own, ids: map[string][]string{}, bad: map[*origin]bool{}}
	l.values()
	l.basis()
	l.synonyms()
	l.states()
	l.tables()
	l.causes()
	l.fixesAndParts()
	l.superseded()
	l.alternates()
	l.holds()
	l.was()
	views := l.views()
	l.usefulness(views)
	l.ambiguity(views)
	return l.done()
}

// linter collects the problems of a base.
type linter struct {
	b        *Base
	ids      map[string][]string // by list, filled when a suggestion is needed
	bad      map[*origin]bool    // entries with errors
	errors   found
	warnings found
}

// found are problems of one severity, capped.
type found struct {
	problems Problems
	more     int
}

func (f *found) add(p Problem) {
	if len(f.problems) >= maxProblems {
		f.more++
		return
	}
	f.problems = append(f.problems, p)
}

// place is a value within an entry, or the key it stands under.
type place struct {
	path []string
	key  bool
}

func valueAt(path ...string) place { return place{path: path} }
func keyAt(path ...string) place   { return place{path: path, key: true} }

func (p place) in(o *origin) Pos {
	if p.key {
		return o.atKey(p.path...)
	}
	return o.at(p.path...)
}

// wrong reports an error in an entry.
func (l *linter) wrong(e entry, at place, what, do string) {
	l.bad[e.source()] = true
	l.report(&l.errors, e, at, what, do)
}

// doubt reports a warning about an entry, unless errors were found in it: most
// often the warning comes of them.
func (l *linter) doubt(e entry, at place, what, do string) {
	if !l.bad[e.source()] {
		l.report(&l.warnings, e, at, what, do)
	}
}

func (l *linter) report(to *found, e entry, at place, what, do string) {
	o := e.source()
	if o.broken {
		return
	}
	p := Problem{Warning: to == &l.warnings, Entry: label(e), What: what, Do: do}
	if len(to.problems) < maxProblems {
		p.Pos = at.in(o) // finding the place takes time; those over the cap are only counted
	}
	to.add(p)
}

// unknown reports an id that is not in the list, with the nearest that is.
func (l *linter) unknown(e entry, at place, list, id string) {
	if l.b.loaded.partial {
		return // it may be in what could not be read
	}
	kind := singular[list]
	do := fmt.Sprintf("add the %s or name one that is there", kind)
	if len(l.errors.problems) < maxProblems {
		if l.ids[list] == nil {
			l.ids[list] = l.b.IDs(list)
		}
		do = didYouMean(id, l.ids[list], do)
	}
	l.wrong(e, at, fmt.Sprintf("there is no %s %q", kind, id), do)
}

// didYouMean suggests the nearest of have, or else what otherwise says.
func didYouMean(want string, have []string, otherwise string) string {
	if near, ok := Nearest(want, have); ok {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return otherwise
}

// singular is the kind of entry that each list of a base holds.
var singular = map[string]string{
	"families": "family", "components": "component", "states": "state", "symptoms": "symptom", "checks": "check",
	"causes": "cause", "fixes": "fix", "parts": "part", "holds": "hold",
}

// has tells whether a list of the base has an entry with the id.
func (l *linter) has(list, id string) bool {
	_, ok := l.b.index.of(list)[id]
	return ok
}

// of returns the look-up of a list.
func (ix *lookup) of(list string) map[string]int {
	switch list {
	case "families":
		return ix.families
	case "components":
		return ix.components
	case "states":
		return ix.states
	case "symptoms":
		return ix.symptoms
	case "checks":
		return ix.checks
	case "causes":
		return ix.causes
	case "fixes":
		return ix.fixes
	case "parts":
		return ix.parts
	case "holds":
		return ix.holds
	}
	panic("kb: a tag names the list " + list)
}

// done puts errors and warnings together in file order.
func (l *linter) done() Problems {
	all := append(l.errors.problems, l.warnings.problems...).InOrder()
	if n := l.errors.more; n > 0 {
		all = append(all, Problem{What: fmt.Sprintf("%d more errors are not shown", n), Do: "mend these first"})
	}
	if n := l.warnings.more; n > 0 {
		all = append(all, Problem{Warning: true, What: fmt.Sprintf("%d more warnings are not shown", n)})
	}
	return all
}
