package kb

import (
	"fmt"
	"strconv"
	"strings"
)

// group is a synonym group as an entry of its own, for reports.
type group struct {
	number int
	origin *origin
}

func (g group) source() *origin { return g.origin }
func (g group) kind() string    { return "synonyms " + strconv.Itoa(g.number) }
func (g group) key() string     { return "" }

// synonyms examines the groups of terms: a term in two groups would make all
// of both mean the same.
func (l *linter) synonyms() {
	seen := map[string]group{}
	for i, terms := range l.b.Synonyms {
		g := group{number: i + 1, origin: &origin{}}
		if i < len(l.b.loaded.synonyms) {
			g.origin = &l.b.loaded.synonyms[i]
		}
		if len(terms) < 2 {
			l.wrong(g, valueAt(), "a group needs two terms or more", "add the terms that mean the same")
		}
		for j, term := range terms {
			at := valueAt(strconv.Itoa(j))
			folded := strings.ToLower(strings.Join(strings.Fields(term), " "))
			first, dup := seen[folded]
			switch {
			case folded == "":
				l.wrong(g, at, "a term is blank", "write a term or take it out")
			case dup && first.number == g.number:
				l.wrong(g, at, fmt.Sprintf("term %q is given twice", term), "remove one of the two")
			case dup:
				l.wrong(g, at, fmt.Sprintf("term %q stands in another group too, at %s", term, first.origin.pos()), "put the two groups together or take it out of one")
			default:
				seen[folded] = g
			}
		}
	}
}
