package learn

import "fmt"

// Merge adds the counts of another shop. They must have been made with the same
// half-life and for the same outcomes of each symptom and check; otherwise it
// returns an error and adds nothing.
func (c *Counts) Merge(other *Counts) error {
	if c.HalfLifeYears != other.HalfLifeYears {
		return fmt.Errorf("counts with a half-life of %v years cannot be added to counts with %v years; count the closed jobs again with one half-life", other.HalfLifeYears, c.HalfLifeYears)
	}
	if err := c.base.fits(other.Tables); err != nil {
		return err
	}
	for id, f := range other.Families {
		c.familyCounts(id).add(f)
		c.tidyFamily(id)
	}
	for key, t := range other.Tables {
		c.addRow(key, t.Outcomes, normally, t.Normally)
		for cause, row := range t.Rows {
			c.addRow(key, t.Outcomes, cause, row)
		}
	}
	for id, f := range other.Fixes {
		c.fixCounts(id).add(f)
		c.tidyFix(id)
	}
	for key, m := range other.Minutes {
		addTo(c.Minutes, key, m)
	}
	for what, n := range other.Skipped {
		c.skip(what, n)
	}
	return nil
}

// sum is something that adds up over jobs. Sums of no jobs are zero: what
// rounding leaves behind when the last job is taken back is dropped.
type sum[T any] interface {
	comparable
	plus(T) T
}

// addTo adds to the sum under a key and drops it when it became empty.
func addTo[K comparable, T sum[T]](to map[K]T, key K, by T) {
	var none T
	if total := to[key].plus(by); total == none {
		delete(to, key)
	} else {
		to[key] = total
	}
}

// addUnder adds to a sum in the map under a key, makes that map where there is
// none and drops it when it became empty.
func addUnder[K comparable, T sum[T]](to map[K]map[string]T, key K, id string, by T) {
	sums := to[key]
	if sums == nil {
		sums = make(map[string]T)
		to[key] = sums
	}
	addTo(sums, id, by)
	if len(sums) == 0 {
		delete(to, key)
	}
}

func (t Tally) plus(by Tally) Tally {
	if t.Jobs+by.Jobs == 0 {
		return Tally{}
	}
	return Tally{Jobs: t.Jobs + by.Jobs, Weight: t.Weight + by.Weight}
}

func (t Trials) plus(by Trials) Trials {
	if t.Jobs+by.Jobs == 0 {
		return Trials{}
	}
	return Trials{Jobs: t.Jobs + by.Jobs, Weight: t.Weight + by.Weight, Hits: t.Hits + by.Hits}
}

// familyCounts returns the counts of a family, new ones where there are none.
func (c *Counts) familyCounts(id string) *FamilyCounts {
	f := c.Families[id]
	if f == nil {
		f = &FamilyCounts{Roots: make(map[string]Tally), Models: make(map[string]map[string]Tally),
			Seasons: make(map[int]map[string]Tally), Effects: make(map[string]Trials)}
		c.Families[id] = f
	}
	return f
}

// tidyFamily drops a family without jobs.
func (c *Counts) tidyFamily(id string) {
	if c.Families[id].Jobs == (Tally{}) {
		delete(c.Families, id)
	}
}

func (f *FamilyCounts) add(by *FamilyCounts) {
	f.Jobs = f.Jobs.plus(by.Jobs)
	f.Listed = f.Listed.plus(by.Listed)
	f.Unlisted = f.Unlisted.plus(by.Unlisted)
	f.Second = f.Second.plus(by.Second)
	for cause, t := range by.Roots {
		addTo(f.Roots, cause, t)
	}
	for model, roots := range by.Models {
		for cause, t := range roots {
			addUnder(f.Models, model, cause, t)
		}
	}
	for season, roots := range by.Seasons {
		for cause, t := range roots {
			addUnder(f.Seasons, season, cause, t)
		}
	}
	for key, t := range by.Effects {
		addTo(f.Effects, key, t)
	}
}

// fixCounts returns the counts of a fix, new ones where there are none.
func (c *Counts) fixCounts(id string) *FixCounts {
	f := c.Fixes[id]
	if f == nil {
		f = &FixCounts{Pieces: make(map[string]*PieceCounts)}
		c.Fixes[id] = f
	}
	return f
}

// tidyFix drops a fix of which nothing is counted.
func (c *Counts) tidyFix(id string) {
	if f := c.Fixes[id]; f.Cures == (Trials{}) && f.Minutes == (LogMinutes{}) && len(f.Pieces) == 0 {
		delete(c.Fixes, id)
	}
}

func (f *FixCounts) add(by *FixCounts) {
	f.Cures = f.Cures.plus(by.Cures)
	f.Minutes = f.Minutes.plus(by.Minutes)
	for family, p := range by.Pieces {
		f.addTimes(family, p.Times)
		for part, table := range p.Parts {
			for qty, t := range table {
				addUnder(f.pieces(family).Parts, part, qty, t)
			}
		}
		f.tidyPieces(family)
	}
}

// pieces returns the parts that a fix took in a family, new ones where there are
// none.
func (f *FixCounts) pieces(family string) *PieceCounts {
	p := f.Pieces[family]
	if p == nil {
		p = &PieceCounts{Parts: make(map[string]map[string]Tally)}
		f.Pieces[family] = p
	}
	return p
}

func (f *FixCounts) addTimes(family string, by Tally) {
	p := f.pieces(family)
	p.Times = p.Times.plus(by)
}

// tidyPieces drops a family in which the fix was never done with its parts
// stated.
func (f *FixCounts) tidyPieces(family string) {
	if f.pieces(family).Times == (Tally{}) {
		delete(f.Pieces, family)
	}
}

// skip counts what cannot be counted.
func (c *Counts) skip(what string, times int) {
	if c.Skipped[what] += times; c.Skipped[what] == 0 {
		delete(c.Skipped, what)
	}
}
