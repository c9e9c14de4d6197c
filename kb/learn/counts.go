package learn

import "sootsayer/kb"

// version is that of the JSON form of Counts; counts of another version are
// refused by Read and counted anew by the caller.
const version = 2

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
	HalfLifeYears float64                  `json:"half_life_years"` // 0: a job never counts less
	Families      map[string]*FamilyCounts `json:"families"`        // by id
	Tables        map[string]*TableCounts  `json:"tables"`          // by "check/ID" or "symptom/ID"
	Fixes         map[string]*FixCounts    `json:"fixes,omitempty"` // by id
	// Minutes are those that symptoms and checks took, by "symptom/ID" or
	// "check/ID". They weigh by age alone: how long a thing took was seen,
	// however sure the cause.
	Minutes map[string]LogMinutes `json:"minutes,omitempty"`
	// Skipped is how often something was met that cannot be counted: what the
	// base does not know ("family/ID", "cause/ID", "check/ID", "symptom/ID",
	// "fix/ID", "part/ID"), and as "part/ID" also a part that was used by one of
	// several fixes, none of which lists it.
	Skipped map[string]int `json:"skipped,omitempty"`

	base *authored
	jot  notes
}

// FamilyCounts are the jobs of one family by how they ended. A job with
// several independent root causes is in Roots once for each. A job that was
// closed with one of several causes is in Roots for each of them, with the
// chance that it was that one as its weight.
type FamilyCounts struct {
	Jobs     Tally            `json:"jobs"`              // all
	Listed   Tally            `json:"listed,omitzero"`   // with a listed cause
	Unlisted Tally            `json:"unlisted,omitzero"` // with a cause that is not listed
	Second   Tally            `json:"second,omitzero"`   // with a listed cause and another, independent one
	Roots    map[string]Tally `json:"roots,omitempty"`   // by root cause
	// Models are the roots of the jobs whose equipment's model is known, by model.
	Models map[string]map[string]Tally `json:"models,omitempty"`
	// Seasons are the roots by the heating season of the closing, named by the
	// year in whose July it began. They weigh by confidence alone: a season is
	// compared with others, so it does not fade.
	Seasons map[int]map[string]Tally `json:"seasons,omitempty"`
	// Effects are how often a cause that was there brought another one along, by
	// "cause>effect".
	Effects map[string]Trials `json:"effects,omitempty"`
}

// Tally is a number of jobs and the sum of their weights.
type Tally struct {
	Jobs   int     `json:"n"`
	Weight float64 `json:"w"`
}

// Trials are a number of times that something could have come about, the sum
// of their weights, and the weight of those in which it did.
type Trials struct {
	Jobs   int     `json:"n"`
	Weight float64 `json:"w"`
	Hits   float64 `json:"hits"`
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

// FixCounts are how one fix went.
type FixCounts struct {
	// Cures are the times that it was done for a cause that was there; a hit is
	// one that held.
	Cures Trials `json:"cures,omitzero"`
	// Minutes are those that it took with its proof of operation.
	Minutes LogMinutes `json:"minutes,omitzero"`
	// Pieces are the parts that it took, by family. They weigh by age alone.
	Pieces map[string]*PieceCounts `json:"pieces,omitempty"`
}

// PieceCounts are the parts that one fix took in one family. Times is how often
// it was done and what was used was stated; Parts are the times that a part was
// used, by part and by number of pieces.
type PieceCounts struct {
	Times Tally                       `json:"times"`
	Parts map[string]map[string]Tally `json:"parts,omitempty"`
}

// New returns empty counts for a base, which must have passed lint and must not
// change while the counts are in use.
func New(b *kb.Base) *Counts {
	return &Counts{
		Version:       version,
		HalfLifeYears: b.Settings.HalfLifeYears,
		Families:      make(map[string]*FamilyCounts),
		Tables:        make(map[string]*TableCounts),
		Fixes:         make(map[string]*FixCounts),
		Minutes:       make(map[string]LogMinutes),
		Skipped:       make(map[string]int),
		base:          compile(b),
	}
}

// Add counts a job that stands. One that is not closed counts nothing; what the
// base does not know is left out and counted in Skipped.
func (c *Counts) Add(job *kb.Job) { c.count(job, 1) }

// Remove takes back a job that was added, which must be given as it was then:
// the same closing and the same acts.
func (c *Counts) Remove(job *kb.Job) { c.count(job, -1) }

// AddCameBack counts a closed job that came back, within the window for
// callbacks, as another job, which may still be open (or nil where nothing is
// known of it). What the job was closed with is not believed any more, so that
// its causes and findings count nothing. What was done still counts: the
// minutes, the parts, and the fixes as cures that did not hold. Once the other
// job is closed with causes, only the fixes that treat one of them failed; the
// others were done on a wrong diagnosis, which says nothing about them.
func (c *Counts) AddCameBack(job, back *kb.Job) { c.countCameBack(job, back, 1) }

// RemoveCameBack takes back a job that AddCameBack counted; both jobs must be
// given as they were then.
func (c *Counts) RemoveCameBack(job, back *kb.Job) { c.countCameBack(job, back, -1) }
