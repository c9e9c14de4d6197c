package score

import "time"

// Report tells how well jobs were predicted.
type Report struct {
	From   *time.Time `json:"from,omitempty"`   // jobs opened from then on
	Family string     `json:"family,omitempty"` // jobs of this family only
	Jobs   Jobs       `json:"jobs"`
	// LeftOut is what scored jobs recorded and the base does not have, by "KIND/ID"
	// as in kb.Missing, an outcome as "outcome/CHECK=ID", and how many jobs did.
	LeftOut map[string]int `json:"left_out,omitempty"`

	Complaint Moment `json:"complaint"` // from what the customer said
	End       Moment `json:"end"`       // with everything that was found
	// Steps are the moments from the complaint on: after so many findings, or
	// all there were in jobs with fewer, so that every row is about every job.
	Steps []Step `json:"steps"`

	Families []Split `json:"families"` // by id
	Years    []Split `json:"years"`    // by the year of the opening, in UTC

	Calibration Calibrations `json:"calibration"`
	Minutes     Minutes      `json:"minutes"`
	OverTime    []Period     `json:"over_time"`
}

// Jobs are the closed jobs by what became of them here. Those that are not
// scored teach all the same, as they do in the shop.
type Jobs struct {
	Closed int `json:"closed"`
	Scored int `json:"scored"`

	Earlier      int `json:"earlier"`       // opened before From
	Elsewhere    int `json:"elsewhere"`     // of another family
	UnknownCause int `json:"unknown_cause"` // closed with a cause that the base does not have
	CameBack     int `json:"came_back"`     // the cause they were closed with was wrong, or its fix did not hold
	OneOf        int `json:"one_of"`        // closed as one of several causes
	Impossible   int `json:"impossible"`    // what was found cannot be together, which only a floor of 0 allows

	// Of those scored:
	Unsure   int        `json:"unsure"`   // closed with a confidence under 1
	Several  int        `json:"several"`  // with several independent root causes
	Unlisted int        `json:"unlisted"` // with a cause that is not in the base
	First    *time.Time `json:"first,omitempty"`
	Last     *time.Time `json:"last,omitempty"` // openings of the first and the last
}

// Step is a moment after a number of findings. Reached counts the jobs that had
// so many.
type Step struct {
	Findings int `json:"findings"`
	Reached  int `json:"reached"`
	Moment
}

// Split is the part of the jobs that is of one family, or one year.
type Split struct {
	Family    string `json:"family,omitempty"`
	Year      int    `json:"year,omitempty"`
	Complaint Moment `json:"complaint"`
	End       Moment `json:"end"`
}

// Calibrations are those of both moments, and two questions.
type Calibrations struct {
	Complaint Questions `json:"complaint"`
	End       Questions `json:"end"`
}

// Questions are what forecasts are held against. First asks of each job whether
// the cause that was named first was a root cause. All asks it of every cause;
// its Parts are means over jobs and so add up to the Brier score over all
// causes, the scalar partition of Murphy (1972, Journal of Applied Meteorology
// 11:1183-1192): its Uncertainty is the score of who holds all causes equally
// likely.
type Questions struct {
	First By[Calibration] `json:"first"`
	All   By[Calibration] `json:"all"`
}

// Calibration tells whether chances can be taken at their word.
type Calibration struct {
	Error   float64 `json:"error"`   // expected calibration error
	Luck    float64 `json:"luck"`    // about what honest forecasts would show by luck
	Largest float64 `json:"largest"` // of any bin
	Parts   Parts   `json:"parts"`
	Bins    []Bin   `json:"bins"`
}

// Minutes are those of the scored jobs that state them: of the whole call, and
// what the advice at the complaint expected to a cure. MedianRatio is that of
// spent over foreseen, job by job.
type Minutes struct {
	Jobs         int     `json:"jobs"`
	Spent        float64 `json:"spent"`
	Foreseen     float64 `json:"foreseen"`
	MeanSpent    float64 `json:"mean_spent"`
	MeanForeseen float64 `json:"mean_foreseen"`
	MedianRatio  float64 `json:"median_ratio"`
}

// Period is a stretch of jobs in the order in which they were opened, and their
// log loss in bits.
type Period struct {
	From      time.Time   `json:"from"` // openings of its first and its last job
	To        time.Time   `json:"to"`
	Jobs      int         `json:"jobs"`
	Complaint By[float64] `json:"complaint"`
	End       By[float64] `json:"end"`
}
