package kb

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// stockedOtherwise counts parts as used that are kept for another reason than a
// fix: old numbers, and what will do in place of another.
func stockedOtherwise(parts []Part, used map[string]bool) {
	for i := range parts {
		if parts[i].SupersededBy != "" {
			used[parts[i].ID] = true
		}
		for _, id := range parts[i].Alternates {
			used[id] = true
		}
	}
}

// superseded examines which parts replace which, and who still names an old one.
func (l *linter) superseded() {
	_, circles := l.b.successions()
	for _, circle := range circles {
		p, _ := l.b.Part(circle[0])
		what := "it supersedes itself"
		if len(circle) > 1 {
			what = "these parts supersede each other in a circle: " + strings.Join(append(circle, p.ID), ", ")
		}
		l.wrong(p, valueAt("superseded_by"), what, "take it out of the part that is ordered today")
	}
	each(l.b.Fixes, func(f *Fix) {
		for i, use := range f.Parts {
			if now := l.b.Today("parts", use.Part); now != use.Part && l.has("parts", use.Part) {
				l.wrong(f, valueAt("parts", strconv.Itoa(i), "part"), fmt.Sprintf("part %q was superseded", use.Part), fmt.Sprintf("name %q", now))
			}
		}
	})
}

// alternates examines which parts will do in place of which.
func (l *linter) alternates() {
	each(l.b.Parts, func(p *Part) {
		l.distinct(p, p.Alternates, "alternates", "part")
		for i, id := range p.Alternates {
			at, now := valueAt("alternates", strconv.Itoa(i)), l.b.Today("parts", id)
			switch {
			case id == p.ID:
				l.wrong(p, at, "it is named as its own alternate", "take it out")
			case now == p.ID && l.has("parts", id):
				l.wrong(p, at, fmt.Sprintf("part %q was superseded by this one and is no alternate", id), "take it out")
			case now != id && l.has("parts", id) && slices.Contains(p.Alternates, now):
				l.wrong(p, at, fmt.Sprintf("part %q was superseded by %q, which is named too", id, now), "take it out")
			case now != id && l.has("parts", id):
				l.wrong(p, at, fmt.Sprintf("part %q was superseded", id), fmt.Sprintf("name %q", now))
			}
		}
	})
}
