package kb

import (
	"fmt"
	"math"
)

const (
	tellsApart = 0.05 // two causes are told apart by tables that differ by more
	matters    = 0.02 // a row says something when it differs from normal by more
)

// view is one family as the warnings see it: its causes, and the tables of its
// symptoms and checks written out over all outcomes.
type view struct {
	family  string
	causes  []*Cause
	fixes   []string       // in the order of their first cause
	curedBy map[string]int // fix -> how many causes it cures
	seen    []seenThrough
}

// seenThrough is one symptom or check of a family, with its entry.
type seenThrough struct {
	entry
	Observable
}

// views writes out every family.
func (l *linter) views() []view {
	views := make([]view, len(l.b.Families))
	for i := range l.b.Families {
		views[i] = l.newView(l.b.Families[i].ID)
	}
	return views
}

func (l *linter) newView(family string) view {
	v := view{family: family, curedBy: map[string]int{}}
	index := map[string]int{}
	each(l.b.Causes, func(c *Cause) {
		if _, in := c.Share[family]; !in {
			return
		}
		index[c.ID] = len(v.causes)
		v.causes = append(v.causes, c)
		if v.curedBy[c.Fix]++; v.curedBy[c.Fix] == 1 {
			v.fixes = append(v.fixes, c.Fix)
		}
	})
	add := func(o observed) {
		if In(o.families, family) && !o.source().broken {
			w := Observable{Outcomes: o.outcomes}.withTables(o.normally, o.rows, index)
			v.seen = append(v.seen, seenThrough{o.entry, w})
		}
	}
	each(l.b.Symptoms, func(s *Symptom) { add(s.observed()) })
	each(l.b.Checks, func(c *Check) { add(c.observed()) })
	return v
}

// usefulness warns of symptoms and checks that cannot change what to do, and
// of checks that do not say how or what to mind.
func (l *linter) usefulness(views []view) {
	useful := map[string]bool{} // checks that change what to do in some family
	for _, v := range views {
		for _, o := range v.seen {
			if c, ok := o.entry.(*Check); ok {
				useful[c.ID] = useful[c.ID] || v.changesWhatToDo(o.Observable)
			} else {
				l.raisedBy(v, o)
			}
		}
	}
	l.provingOrHolding(useful)
	each(l.b.Checks, func(c *Check) {
		if !useful[c.ID] && !l.b.loaded.partial {
			l.doubt(c, valueAt(), "its outcome never changes what to do: it tells no two causes with different fixes apart", fmt.Sprintf(`give rows to causes for which it differs from "normally" by more than %g, or take the check out`, matters))
		}
		l.instructions(c)
	})
}

// raisedBy warns of a symptom that fewer than two of the family's causes make
// likelier: it would either say nothing or give the cause away by itself.
func (l *linter) raisedBy(v view, o seenThrough) {
	n := 0
	for _, row := range o.Rows {
		if row.P[1] > o.Normally[1] {
			n++
		}
	}
	if n < 2 && !l.b.loaded.partial {
		l.doubt(o.entry, valueAt("if"), fmt.Sprintf("%s in family %q makes it likelier; with fewer than two it tells nothing apart", []string{"no cause", "only one cause"}[n], v.family), "add rows for the causes that bring it about")
	}
}

// provingOrHolding marks the checks whose outcome changes what to do whatever
// their rows say: they prove a fix, or a hold begins or ends with them.
func (l *linter) provingOrHolding(useful map[string]bool) {
	each(l.b.Fixes, func(f *Fix) { useful[f.Proof] = true })
	each(l.b.Holds, func(h *Hold) { useful[h.When.Check], useful[h.Until.Check] = true, true })
}

// changesWhatToDo tells whether an outcome can change what to do in the family:
// whether two causes with different fixes have tables that differ by more than
// matters in some outcome. A cause without a row has the table without causes.
func (v *view) changesWhatToDo(o Observable) bool {
	tables := make([][]float64, 0, len(o.Rows)+2)
	fixes := make([]string, 0, len(o.Rows)+2)
	left := map[string]int{} // causes with a row, by fix
	for _, row := range o.Rows {
		fix := v.causes[row.Cause].Fix
		left[fix]++
		tables, fixes = append(tables, row.P), append(fixes, fix)
	}
	// Two fixes among the causes without a row stand for all of these.
	for _, fix := range v.fixes {
		if len(fixes) == len(o.Rows)+2 {
			break
		}
		if v.curedBy[fix] > left[fix] {
			tables, fixes = append(tables, o.Normally), append(fixes, fix)
		}
	}
	for j := range o.Outcomes {
		if widest(tables, fixes, j) > matters {
			return true
		}
	}
	return false
}

// widest is the greatest difference in outcome j between tables of different
// fixes, in one pass: from the highest value, the highest under another fix,
// and likewise the lowest, since the widest pair of different fixes holds the
// highest or the lowest of all.
func widest(tables [][]float64, fixes []string, j int) float64 {
	if len(tables) == 0 {
		return 0
	}
	hi, lo := 0, 0
	for i := range tables {
		if tables[i][j] > tables[hi][j] {
			hi = i
		}
		if tables[i][j] < tables[lo][j] {
			lo = i
		}
	}
	var best float64
	for i := range tables {
		if fixes[i] != fixes[hi] {
			best = math.Max(best, tables[hi][j]-tables[i][j])
		}
		if fixes[i] != fixes[lo] {
			best = math.Max(best, tables[i][j]-tables[lo][j])
		}
	}
	return best
}

// instructions warns of a check that does not say how it is done, or that is
// done live or starts the burner and has no cautions.
func (l *linter) instructions(c *Check) {
	if len(c.How) == 0 {
		l.doubt(c, valueAt(), "it does not say how it is done", "add how: with the steps")
	}
	if len(c.Cautions) > 0 {
		return
	}
	switch {
	case c.State["power"] == "on":
		l.doubt(c, valueAt(), "it is done with the power on and has no cautions", "add cautions: with what to mind")
	case c.Starts > 0:
		l.doubt(c, valueAt(), "it starts the burner and has no cautions", "add cautions: with what to mind")
	}
}
