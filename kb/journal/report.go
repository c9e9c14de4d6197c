package journal

import "fmt"

// Remedy is what puts a trouble right.
type Remedy string

// The remedies, mildest first.
const (
	RemedyNone    Remedy = ""
	RemedyRebuild Remedy = "rebuild" // Store.Rebuild: nothing is lost
	RemedySalvage Remedy = "salvage" // Salvage: an event may be lost
)

// Trouble is one thing wrong with a store: where, what, and what to do.
type Trouble struct {
	Where  string `json:"where"`
	What   string `json:"what"`
	Do     string `json:"do"`
	Remedy Remedy `json:"remedy"`
}

// String writes the trouble on one line.
func (t Trouble) String() string { return t.Where + ": " + t.What + "; " + t.Do }

// maxTroubles is how many troubles a report lists; a file with more of them has
// usually one reason for all.
const maxTroubles = 200

// Report is what Verify found.
type Report struct {
	Events   uint64    `json:"events"`
	Jobs     int       `json:"jobs"`
	Phrases  int       `json:"phrases"`
	Bytes    int64     `json:"bytes"` // in use in the file
	Troubles []Trouble `json:"troubles,omitempty"`
	More     int       `json:"more,omitempty"` // troubles beyond those listed
	Remedy   Remedy    `json:"remedy"`         // what puts all of them right
}

// OK tells whether nothing was found.
func (r Report) OK() bool { return r.Remedy == RemedyNone }

const (
	doRebuild = "run `sootsayer verify --repair`: it is worked out anew from the events and nothing is lost"
	doSalvage = "run `sootsayer verify --repair`: it keeps the damaged file and saves every event that can be read"
)

// rebuild and salvage note a trouble with its remedy.
func (r *Report) rebuild(where, format string, args ...any) {
	r.add(Trouble{where, fmt.Sprintf(format, args...), doRebuild, RemedyRebuild})
}

func (r *Report) salvage(where, format string, args ...any) {
	r.add(Trouble{where, fmt.Sprintf(format, args...), doSalvage, RemedySalvage})
}

func (r *Report) add(t Trouble) {
	if r.Remedy != RemedySalvage {
		r.Remedy = t.Remedy
	}
	if len(r.Troubles) < maxTroubles {
		r.Troubles = append(r.Troubles, t)
	} else {
		r.More++
	}
}
