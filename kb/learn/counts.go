package learn

import (
	"fmt"

	"sootsayer/kb"
)

// version is that of the JSON form of Counts; counts of another version are
// refused by Read and counted anew by the caller.
const version = 1

// Counts are what closed jobs showed, as sums over the jobs. Weights are
// relative to a fixed day; multiply them by [Counts.Now] before use. Counts
// come from [New] or [Read], and are written with encoding/json: equal counts
// give equal bytes.
//
// They are made for one base, whose authored tables decide which causes have a
// row and whose outcomes the rows run over: after an edit of the base the jobs
// have to be counted again.
type Counts struct {
	Version       int                      `json:"version"`
	HalfLifeYears float64                  `json:"half_life_years"`   // 0: a job never counts less
	Families      map[string]*FamilyCounts `json:"families"`          // by id
	Tables        map[string]*TableCounts  `json:"tables"`            // by "check/ID" or "symptom/ID"
	Skipped       map[string]int           `json:"skipped,omitempty"` // times met, by what the base does not know: "family/ID", "cause/ID", "check/ID", "symptom/ID"

	base *authored
}

// FamilyCounts are the jobs of one family by how they ended. A job with
// several independent root causes is in Roots once for each.
type FamilyCounts struct {
	Jobs     Tally            `json:"jobs"`              // all
	Listed   Tally            `json:"listed,omitzero"`   // with a listed cause
	Unlisted Tally            `json:"unlisted,omitzero"` // with a cause that is not listed
	Second   Tally            `json:"second,omitzero"`   // with a listed cause and another, independent one
	Roots    map[string]Tally `json:"roots,omitempty"`   // by root cause
}

// Tally is a number of jobs and the sum of their weights.
type Tally struct {
	Jobs   int     `json:"n"`
	Weight float64 `json:"w"`
}

// TableCounts are the outcomes seen of one symptom or check. Rows are by
// cause, from jobs whose only confirmed cause it was; Normally is from jobs
// none of whose causes has a row.
type TableCounts struct {
	Outcomes []string             `json:"outcomes"`
	Normally RowCounts            `json:"normally,omitzero"`
	Rows     map[string]RowCounts `json:"rows,omitempty"`
}

// RowCounts are a number of jobs and the weight of each outcome in them, in
// the order of TableCounts.Outcomes.
type RowCounts struct {
	Jobs    int       `json:"n"`
	Weights []float64 `json:"w"`
}

// New returns empty counts for a base, which must have passed lint and must not
// change while the counts are in use.
func New(b *kb.Base) *Counts {
	return &Counts{
		Version:       version,
		HalfLifeYears: b.Settings.HalfLifeYears,
		Families:      make(map[string]*FamilyCounts),
		Tables:        make(map[string]*TableCounts),
		Skipped:       make(map[string]int),
		base:          compile(b),
	}
}

// Add counts a job. One that is not closed counts nothing; what the base does
// not know is left out and counted in Skipped.
func (c *Counts) Add(job *kb.Job) { c.count(job, 1) }

// Remove takes back a job that was added, which must be given as it was then:
// the same closing and the same acts.
func (c *Counts) Remove(job *kb.Job) { c.count(job, -1) }

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
		c.addFamily(id, f)
	}
	for key, t := range other.Tables {
		c.addRow(key, t.Outcomes, normally, t.Normally)
		for cause, row := range t.Rows {
			c.addRow(key, t.Outcomes, cause, row)
		}
	}
	for what, n := range other.Skipped {
		c.skip(what, n)
	}
	return nil
}

// addFamily adds counts to those of a family and drops what became empty.
func (c *Counts) addFamily(id string, by *FamilyCounts) {
	f := c.Families[id]
	if f == nil {
		f = &FamilyCounts{Roots: make(map[string]Tally)}
		c.Families[id] = f
	}
	f.Jobs = f.Jobs.plus(by.Jobs)
	f.Listed = f.Listed.plus(by.Listed)
	f.Unlisted = f.Unlisted.plus(by.Unlisted)
	f.Second = f.Second.plus(by.Second)
	for cause, t := range by.Roots {
		if sum := f.Roots[cause].plus(t); sum == (Tally{}) {
			delete(f.Roots, cause)
		} else {
			f.Roots[cause] = sum
		}
	}
	if f.Jobs == (Tally{}) {
		delete(c.Families, id)
	}
}

// plus adds two tallies. No jobs weigh nothing: what rounding leaves behind
// when the last job is taken back is dropped.
func (t Tally) plus(by Tally) Tally {
	sum := Tally{Jobs: t.Jobs + by.Jobs, Weight: t.Weight + by.Weight}
	if sum.Jobs == 0 {
		sum.Weight = 0
	}
	return sum
}

// normally stands for the table without causes where a row's cause is named.
const normally = ""

// addRow adds outcome weights to a row and drops what became empty.
func (c *Counts) addRow(key string, outcomes []string, cause string, by RowCounts) {
	if by.Jobs == 0 {
		return
	}
	t := c.Tables[key]
	if t == nil {
		t = &TableCounts{Outcomes: outcomes, Rows: make(map[string]RowCounts)}
		c.Tables[key] = t
	}
	row := t.Normally
	if cause != normally {
		row = t.Rows[cause]
	}
	if row.Weights == nil {
		row.Weights = make([]float64, len(outcomes))
	}
	row.Jobs += by.Jobs
	for j, w := range by.Weights {
		row.Weights[j] += w
	}
	switch {
	case row.Jobs == 0 && cause == normally:
		t.Normally = RowCounts{}
	case row.Jobs == 0:
		delete(t.Rows, cause)
	case cause == normally:
		t.Normally = row
	default:
		t.Rows[cause] = row
	}
	if t.Normally.Jobs == 0 && len(t.Rows) == 0 {
		delete(c.Tables, key)
	}
}

// skip counts what the base does not know.
func (c *Counts) skip(what string, times int) {
	if c.Skipped[what] += times; c.Skipped[what] == 0 {
		delete(c.Skipped, what)
	}
}
