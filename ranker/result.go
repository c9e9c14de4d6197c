package ranker

// Ranking is the answer to "what is it, and what next", with the field names of
// the contract's JSON. Probabilities, bits and minutes are unrounded.
type Ranking struct {
	Family       string            `json:"family"`
	Evidence     []Evidence        `json:"evidence"`
	Tried        []string          `json:"tried,omitempty"`
	State        map[string]string `json:"state"` // how the equipment stands
	Causes       []CauseChance     `json:"causes"`
	Unlisted     float64           `json:"unlisted"`
	SurpriseBits float64           `json:"surprise_bits"`
	Suspect      *Suspect          `json:"suspect"`
	Holds        []HoldInForce     `json:"holds"`
	Checks       []CheckRank       `json:"checks"`
	Fixes        []FixRank         `json:"fixes"`
	Advice       Advice            `json:"advice"`
}

// Evidence is one finding as it was counted.
type Evidence struct {
	Kind    string             `json:"kind"`
	ID      string             `json:"id"`
	Outcome string             `json:"outcome,omitempty"`
	Reading *float64           `json:"reading,omitempty"`
	Weights map[string]float64 `json:"weights,omitempty"`
}

// CauseChance is a cause and the chance that it is still present, and that it
// is and started the trouble.
type CauseChance struct {
	ID              string  `json:"id"`
	Name            string  `json:"name"`
	Probability     float64 `json:"probability"`
	RootProbability float64 `json:"root_probability"`
}

// Suspect is the finding that fits the others least: the one to repeat.
type Suspect struct {
	Kind string  `json:"kind"`
	ID   string  `json:"id"`
	Bits float64 `json:"bits"` // log2 of P(the other findings) / P(all)
}

// HoldInForce is a hold that keeps something back now, and what ends it.
type HoldInForce struct {
	ID      string `json:"id"`
	Says    string `json:"says"`
	Check   string `json:"check"`
	Outcome string `json:"outcome"`
}

// CheckRank is a symptom or check without a finding and what it is worth.
type CheckRank struct {
	Kind          string        `json:"kind"`
	ID            string        `json:"id"`
	Name          string        `json:"name"`
	Minutes       float64       `json:"minutes"`       // its own
	StateMinutes  float64       `json:"state_minutes"` // changes of state on the way
	Bits          float64       `json:"bits"`
	BitsPerMinute float64       `json:"bits_per_minute"`
	MinutesSaved  *float64      `json:"minutes_saved"` // null where it was not worked out
	Held          *string       `json:"held"`          // the hold's words
	Outcomes      []OutcomeRank `json:"outcomes"`

	obs int
}

// OutcomeRank is a possible outcome and what it would make likely.
type OutcomeRank struct {
	ID          string  `json:"id"`
	Probability float64 `json:"probability"`
	Then        []Then  `json:"then"`
}

// Then is a cause and its probability after an outcome.
type Then struct {
	Cause       string  `json:"cause"`
	Probability float64 `json:"probability"`
}

// FixRank is a fix and the chance that it is needed, in the order they would be
// done without another check.
type FixRank struct {
	ID          string   `json:"id"`
	Name        string   `json:"name"`
	Probability float64  `json:"probability"`
	Minutes     float64  `json:"minutes"` // with changes of state and proof
	Parts       []string `json:"parts"`
	Held        *string  `json:"held"`
}

// What an advice may tell to do.
const (
	DoCheck    = "check"
	DoFix      = "fix"
	DoEscalate = "escalate"
)

// Advice is the next step. Kind is set for a check: symptom or check. Hold
// names the hold that the step ends, when that is why it is advised.
type Advice struct {
	Do              string  `json:"do"`
	Kind            string  `json:"kind,omitempty"`
	ID              string  `json:"id"`
	ExpectedMinutes float64 `json:"expected_minutes"`
	Hold            string  `json:"hold,omitempty"`
}
