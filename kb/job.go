package kb

import "time"

// Unlisted is the id that stands for the unlisted cause wherever a cause is
// named: in closings, in imports and in answers.
const Unlisted = "unlisted"

// Job is one service call, from complaint to close. Acts hold everything that
// was recorded, in order; what was taken back is no longer among them.
type Job struct {
	ID         string    `json:"job"`
	Family     string    `json:"family"`
	Model      string    `json:"model,omitempty"`
	Appliance  string    `json:"appliance,omitempty"`
	Complaint  string    `json:"complaint,omitempty"`
	Opened     time.Time `json:"opened"`
	By         string    `json:"by,omitempty"`
	Acts       []Act     `json:"acts,omitempty"`
	Closing    *Closing  `json:"closing,omitempty"`
	Past       []Closing `json:"past_closings,omitempty"` // closings undone by reopening, oldest first
	CallbackOf string    `json:"callback_of,omitempty"`   // an earlier job of which this is the callback
}

// Closed tells whether the job stands closed.
func (j *Job) Closed() bool { return j.Closing != nil }

// Act is one thing recorded on a job. Exactly one of Finding, Tried and State
// is set.
type Act struct {
	Event   string            `json:"event,omitempty"` // id of the journal's event
	At      time.Time         `json:"at"`
	By      string            `json:"by,omitempty"`
	Finding *Finding          `json:"finding,omitempty"`
	Tried   string            `json:"tried,omitempty"`   // a fix that was done and did not cure
	Minutes float64           `json:"minutes,omitempty"` // minutes the tried fix took with its proof, if stated
	State   map[string]string `json:"state,omitempty"`   // how the equipment stands
}

// Finding is one recorded outcome or reading of a symptom or check. Of Outcome,
// Reading and Weights one is set; Weights are the chances of the outcomes when
// the person was not sure, and sum to 1.
type Finding struct {
	Kind    string             `json:"kind"` // KindSymptom or KindCheck
	ID      string             `json:"id"`
	Outcome string             `json:"outcome,omitempty"`
	Reading *float64           `json:"reading,omitempty"`
	Weights map[string]float64 `json:"weights,omitempty"`
	Minutes float64            `json:"minutes,omitempty"` // minutes it took, if stated
}

// The kinds of observables.
const (
	KindSymptom = "symptom"
	KindCheck   = "check"
)

// The outcomes of a symptom, normal first.
const (
	No  = "no"
	Yes = "yes"
)

// Closing is how a job ended.
type Closing struct {
	At         time.Time          `json:"at"`
	By         string             `json:"by,omitempty"`
	Causes     []string           `json:"causes"`                // may hold Unlisted
	OneOf      bool               `json:"one_of,omitempty"`      // it was one of the causes, and nobody knows which
	Fixes      []string           `json:"fixes,omitempty"`       // what was done in the end
	Confidence float64            `json:"confidence"`            // in (0,1]: how sure the closer is of the causes
	Minutes    float64            `json:"minutes,omitempty"`     // of the whole call; 0 when not stated
	FixMinutes float64            `json:"fix_minutes,omitempty"` // of the fixes done in the end with their proof; 0 when not stated
	Used       map[string]float64 `json:"used,omitzero"`         // pieces by part; nil when not stated, empty when none was used
	From       string             `json:"from,omitempty"`        // the place that Used came from; "" for the shelf
	Note       string             `json:"note,omitempty"`
}
