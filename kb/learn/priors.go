package learn

import (
	"cmp"
	"slices"
	"time"

	"sootsayer/kb"
)

// Prior is how often a cause is the root cause: as authored and as learned,
// with the 90 % central interval of its Beta posterior. Causes are shares of
// the family's jobs with a listed cause and sum to 1; the unlisted cause is a
// share of all its jobs. The interval of a rare cause is so lopsided that the
// mean may lie outside of it.
type Prior struct {
	ID       string  `json:"id"` // of the cause, or kb.Unlisted
	Name     string  `json:"name"`
	Start    float64 `json:"start"`
	Now      float64 `json:"now"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	Jobs     int     `json:"jobs"`     // closed jobs in which it was the root cause
	Weighted float64 `json:"weighted"` // what they weigh now
	Drift
}

// unlistedName is what the unlisted cause is called in lists.
const unlistedName = "None of the listed causes"

// priorLevel is the probability of the intervals that Priors gives.
const priorLevel = 0.90

// Priors lists a family's causes and the unlisted cause by how often each is
// the root cause now, most often first; nil for an unknown family. With a model
// that closed jobs had, Now, Low, High, Jobs and Weighted of a cause are those
// of that model; the unlisted cause and the drift are of the whole family.
func (c *Counts) Priors(b *kb.Base, family, model string, now time.Time) []Prior {
	m, err := kb.NewModel(b, family)
	if err != nil {
		return nil
	}
	scale := c.Now(now)
	p := c.family(m, model, b.Settings.Strength, scale)
	counts := c.Families[family]
	if counts == nil {
		counts = &FamilyCounts{}
	}
	roots := counts.Roots
	if own := counts.Models[model]; model != "" && len(own) > 0 {
		roots = own
	}
	drifts := counts.drifts(m, now)
	list := make([]Prior, 0, len(m.Causes)+1)
	for i := range m.Causes {
		mc := &m.Causes[i]
		list = append(list, newPrior(mc.ID, mc.Name, p.shares[i], roots[mc.ID], scale))
		list[i].Drift = drifts[i]
	}
	list = append(list, newPrior(kb.Unlisted, unlistedName, p.unlisted, counts.Unlisted, scale))
	slices.SortStableFunc(list, func(a, b Prior) int { return cmp.Compare(b.Now, a.Now) })
	return list
}

func newPrior(id, name string, p beta, t Tally, scale float64) Prior {
	low, high := Interval(p.a, p.b, priorLevel)
	return Prior{ID: id, Name: name, Start: p.start, Now: p.mean(), Low: low, High: high, Jobs: t.Jobs, Weighted: t.at(scale)}
}
