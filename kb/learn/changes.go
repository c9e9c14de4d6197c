package learn

import (
	"cmp"
	"math"
	"slices"
	"time"

	"sootsayer/kb"
)

// TableChange is the chance of one outcome of a symptom or check given a cause
// alone, as authored and as learned.
type TableChange struct {
	Observable string  `json:"observable"` // "check/ID" or "symptom/ID"
	Name       string  `json:"name"`
	Cause      string  `json:"cause,omitempty"` // empty for `normally`
	Outcome    string  `json:"outcome"`
	Start      float64 `json:"start"`
	Now        float64 `json:"now"`
	Jobs       int     `json:"jobs"`     // closed jobs behind the row
	Weighted   float64 `json:"weighted"` // what they weigh now
}

// TableChanges lists every outcome of every row and `normally` that has a
// closed job behind it, those that moved most first and ties in base order.
func (c *Counts) TableChanges(b *kb.Base, now time.Time) []TableChange {
	scale := c.Now(now)
	var list []TableChange
	for _, o := range compile(b).order {
		t := c.Tables[o.key]
		if t == nil || !slices.Equal(t.Outcomes, o.Outcomes) {
			continue
		}
		move := func(cause string, start []float64, counts RowCounts) {
			list = append(list, o.changes(cause, start, b.Settings.TableStrength, counts, scale)...)
		}
		move(normally, o.Normally, t.normallyOf(b, &o.Observable))
		for _, row := range authoredRows(b, &o.Observable) {
			if start := o.rows[row.Cause]; start != nil {
				move(row.Cause, start, t.Rows[row.Cause])
			}
		}
	}
	slices.SortStableFunc(list, func(a, b TableChange) int { return cmp.Compare(b.moved(), a.moved()) })
	return list
}

// moved is how far the chance moved, rounded so that what moved alike (yes and
// no of one row) stays a tie.
func (ch TableChange) moved() float64 { return math.Round(math.Abs(ch.Now-ch.Start) * 1e9) }

// changes compares one row before and after its counts.
func (o *observable) changes(cause string, start []float64, strength float64, counts RowCounts, scale float64) []TableChange {
	if counts.Jobs == 0 {
		return nil
	}
	weights := counts.at(scale)
	var weighted float64
	for _, w := range weights {
		weighted += w
	}
	now := slices.Clone(start)
	dirichlet(now, strength, weights)
	list := make([]TableChange, len(now))
	for j := range now {
		list[j] = TableChange{Observable: o.key, Name: o.Name, Cause: cause, Outcome: o.Outcomes[j],
			Start: start[j], Now: now[j], Jobs: counts.Jobs, Weighted: weighted}
	}
	return list
}
