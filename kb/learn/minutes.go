package learn

import (
	"math"

	"sootsayer/kb"
)

// LogMinutes are durations as sums of their logarithms, which is all that a
// log-normal distribution learns from.
type LogMinutes struct {
	Jobs    int     `json:"n"`    // durations stated
	Weight  float64 `json:"w"`    // sum of their weights
	Sum     float64 `json:"ln"`   // sum of weight x ln(minutes)
	Squares float64 `json:"ln^2"` // sum of weight x ln(minutes)^2
}

// Minutes outside of these bounds are taken for slips and not counted: less
// than the base allows a check to take, and more than a week.
const (
	leastMinutes = 0.01
	mostMinutes  = 7 * 24 * 60
)

func (m LogMinutes) plus(by LogMinutes) LogMinutes {
	if m.Jobs+by.Jobs == 0 {
		return LogMinutes{}
	}
	return LogMinutes{m.Jobs + by.Jobs, m.Weight + by.Weight, m.Sum + by.Sum, m.Squares + by.Squares}
}

// lasted is one duration, as it weighs by its age.
func (w worth) lasted(minutes float64) LogMinutes {
	x := math.Log(minutes)
	return LogMinutes{Jobs: w.sign, Weight: w.done, Sum: w.done * x, Squares: w.done * x * x}
}

// stated tells whether minutes are stated and can be.
func stated(minutes float64) bool { return minutes >= leastMinutes && minutes <= mostMinutes }

// countMinutes counts the minutes that were stated: of findings, of fixes that
// were tried, and of closings at which a single fix was done. It reports the
// fixes that the base does not have.
func (c *Counts) countMinutes(job *kb.Job, fam *family, w worth) {
	for i := range job.Acts {
		a := &job.Acts[i]
		switch {
		case a.Finding != nil:
			if !stated(a.Finding.Minutes) {
				continue
			}
			if o := fam.observables[observableKey{a.Finding.Kind, a.Finding.ID}]; o != nil {
				addTo(c.Minutes, o.key, w.lasted(a.Finding.Minutes))
			}
		case a.Tried != "":
			if f := c.base.fixes[a.Tried]; f == nil {
				c.skip("fix/"+a.Tried, w.sign)
			} else if stated(a.Minutes) {
				c.addFixMinutes(f, w.lasted(a.Minutes))
			}
		}
	}
	for i := range job.Past {
		c.countClosingMinutes(&job.Past[i], fam, w)
	}
	c.countClosingMinutes(job.Closing, fam, w)
}

func (c *Counts) countClosingMinutes(closing *kb.Closing, fam *family, w worth) {
	for _, id := range closing.Fixes {
		if c.base.fixes[id] == nil {
			c.skip("fix/"+id, w.sign)
		}
	}
	if !stated(closing.FixMinutes) {
		return
	}
	c.jot.fixes = c.doneAt(c.jot.fixes[:0], fam, closing)
	if len(c.jot.fixes) == 1 {
		c.addFixMinutes(c.jot.fixes[0], w.lasted(closing.FixMinutes))
	}
}

func (c *Counts) addFixMinutes(f *fix, m LogMinutes) {
	counts := c.fixCounts(f.id)
	counts.Minutes = counts.Minutes.plus(m)
	c.tidyFix(f.id)
}

// moveMinutes moves the minutes of symptoms, checks and fixes.
//
// What is stated of a fix holds its proof of operation, and so does its learned
// total, which starts at the authored minutes of the fix and the learned ones of
// the proof. The fix itself takes what the total leaves after its proof, so that
// the two together, which is what the ranker reckons with, are the total.
func (c *Counts) moveMinutes(m *kb.Model, strength, scale float64) {
	for i := range m.Observables {
		o := &m.Observables[i]
		if counts, ok := c.Minutes[o.Kind+"/"+o.ID]; ok {
			o.Minutes = counts.expected(o.Minutes, strength, scale)
		}
	}
	for i := range m.Fixes {
		f := &m.Fixes[i]
		counts := c.Fixes[f.ID]
		if counts == nil || counts.Minutes.Jobs <= 0 {
			continue
		}
		var proof float64
		if f.Proof >= 0 {
			proof = m.Observables[f.Proof].Minutes
		}
		f.Minutes = max(leastMinutes, counts.Minutes.expected(f.Minutes+proof, strength, scale)-proof)
	}
}
