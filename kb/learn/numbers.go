package learn

import (
	"fmt"
	"iter"
)

// Numbers lists every number of the counts by a name that says what it counts,
// in no order: two counts agree where all their numbers do, one that is not
// listed being 0.
func (c *Counts) Numbers() iter.Seq2[string, float64] {
	return func(yield func(string, float64) bool) {
		n := numbers{yield: yield}
		for id, f := range c.Families {
			n.family(id, f)
		}
		for key, t := range c.Tables {
			n.row(key, t.Outcomes, t.Normally)
			for cause, row := range t.Rows {
				n.row(key+", "+cause, t.Outcomes, row)
			}
		}
		for id, f := range c.Fixes {
			n.fix("fix/"+id, f)
		}
		for key, m := range c.Minutes {
			n.minutes(key, m)
		}
		for what, times := range c.Skipped {
			n.put("not counted: "+what, float64(times))
		}
	}
}

// numbers hands numbers on until they are no longer wanted.
type numbers struct {
	yield func(string, float64) bool
	over  bool
}

func (n *numbers) put(name string, v float64) { n.over = n.over || !n.yield(name, v) }

func (n *numbers) tally(name string, t Tally) {
	n.put(name+", jobs", float64(t.Jobs))
	n.put(name+", weight", t.Weight)
}

func (n *numbers) trials(name string, t Trials) {
	n.tally(name, Tally{Jobs: t.Jobs, Weight: t.Weight})
	n.put(name+", hits", t.Hits)
}

func (n *numbers) family(id string, f *FamilyCounts) {
	n.tally(id, f.Jobs)
	n.tally(id+", listed cause", f.Listed)
	n.tally(id+", unlisted cause", f.Unlisted)
	n.tally(id+", second cause", f.Second)
	for cause, t := range f.Roots {
		n.tally(id+", "+cause, t)
	}
	for model, roots := range f.Models {
		for cause, t := range roots {
			n.tally(fmt.Sprintf("%s, model %q, %s", id, model, cause), t)
		}
	}
	for season, roots := range f.Seasons {
		for cause, t := range roots {
			n.tally(fmt.Sprintf("%s, season %d, %s", id, season, cause), t)
		}
	}
	for key, t := range f.Effects {
		n.trials(id+", "+key, t)
	}
}

func (n *numbers) row(name string, outcomes []string, row RowCounts) {
	n.put(name+", jobs", float64(row.Jobs))
	for i, w := range row.Weights {
		n.put(name+", "+outcomes[i], w)
	}
}

func (n *numbers) minutes(name string, m LogMinutes) {
	n.tally(name+", minutes", Tally{Jobs: m.Jobs, Weight: m.Weight})
	n.put(name+", minutes, logarithms", m.Sum)
	n.put(name+", minutes, squared logarithms", m.Squares)
}

func (n *numbers) fix(name string, f *FixCounts) {
	n.trials(name+", cures", f.Cures)
	n.minutes(name, f.Minutes)
	for family, p := range f.Pieces {
		n.tally(name+" in "+family, p.Times)
		for part, table := range p.Parts {
			for pieces, t := range table {
				n.tally(fmt.Sprintf("%s in %s, %s pieces of %s", name, family, pieces, part), t)
			}
		}
	}
}
