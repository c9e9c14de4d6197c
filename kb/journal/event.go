package journal

import (
	"cmp"
	"encoding/json"
	"slices"
	"time"

	"sootsayer/kb"
)

// Kind says what an event records.
type Kind string

// The kinds of events.
const (
	KindJobOpened        Kind = "job.opened"
	KindFindingRecorded  Kind = "finding.recorded"
	KindFindingWithdrawn Kind = "finding.withdrawn"
	KindStateChanged     Kind = "state.changed"
	KindFixTried         Kind = "fix.tried"
	KindJobClosed        Kind = "job.closed"
	KindJobReopened      Kind = "job.reopened"
	KindPhraseChosen     Kind = "phrase.chosen"
	KindPartUsed         Kind = "part.used"
	KindPartCounted      Kind = "part.counted"
	KindPartReceived     Kind = "part.received"
	KindPartOrdered      Kind = "part.ordered"
	KindPartMoved        Kind = "part.moved"
	KindApplianceAdded   Kind = "appliance.added"
	KindBaseChanged      Kind = "base.changed"
)

// Kinds returns every kind of event.
func Kinds() []Kind {
	return []Kind{KindJobOpened, KindFindingRecorded, KindFindingWithdrawn, KindStateChanged,
		KindFixTried, KindJobClosed, KindJobReopened, KindPhraseChosen, KindPartUsed,
		KindPartCounted, KindPartReceived, KindPartOrdered, KindPartMoved, KindApplianceAdded, KindBaseChanged}
}

// EventVersion is the version of events that this program writes and the
// newest that it takes in.
const EventVersion = 1

// Event is one act. The first six fields are the envelope, the same for every
// kind; which of the others are set depends on the kind, as noted. In JSON all
// of them stand side by side in one object.
type Event struct {
	ID   string    `json:"id"` // a ULID, see NewEventID
	At   time.Time `json:"at"` // when it was done, not when it arrived
	By   string    `json:"by,omitempty"`
	Kind Kind      `json:"kind"`
	Job  string    `json:"job,omitempty"`
	V    int       `json:"v"` // EventVersion

	Family     string `json:"family,omitempty"`      // job.opened, phrase.chosen, appliance.added
	Model      string `json:"model,omitempty"`       // job.opened, appliance.added
	Appliance  string `json:"appliance,omitempty"`   // job.opened, appliance.added: its id
	Complaint  string `json:"complaint,omitempty"`   // job.opened
	CallbackOf string `json:"callback_of,omitempty"` // job.opened: the earlier job

	Finding *kb.Finding       `json:"finding,omitempty"` // finding.recorded
	Of      string            `json:"of,omitempty"`      // finding.withdrawn: id of the event taken back
	State   map[string]string `json:"state,omitempty"`   // state.changed: value by state
	Fix     string            `json:"fix,omitempty"`     // fix.tried
	Minutes float64           `json:"minutes,omitempty"` // fix.tried: minutes it took with its proof
	Closing *kb.Closing       `json:"closing,omitempty"` // job.closed; its at and by default to the event's
	Reason  string            `json:"reason,omitempty"`  // job.reopened

	Phrase    string `json:"phrase,omitempty"`    // phrase.chosen: what was said
	Symptom   string `json:"symptom,omitempty"`   // phrase.chosen: what it meant
	Withdrawn bool   `json:"withdrawn,omitempty"` // phrase.chosen: takes one such choice back

	Part  string   `json:"part,omitempty"`  // part.*
	Qty   *float64 `json:"qty,omitempty"`   // part.*: pieces; used, received and ordered may be negative to put right
	Place string   `json:"place,omitempty"` // part.*: shelf or truck; of moved: from where
	To    string   `json:"to,omitempty"`    // part.moved: to where

	Site      string `json:"site,omitempty"`      // appliance.added
	Installed int    `json:"installed,omitempty"` // appliance.added: year

	Change json.RawMessage `json:"change,omitempty"` // base.changed: what was changed, any JSON

	// Extra holds the fields of a newer writer that this program does not
	// know, so that they are written back as they came. Unknown fields inside
	// finding and closing stand under "finding" and "closing".
	Extra map[string]json.RawMessage `json:"-"`
}

// Compare orders events by (at, id), the order in which they are folded.
func Compare(a, b Event) int {
	return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID))
}

// inOrder returns the events sorted by (at, id), each id once.
func inOrder(events []Event) []Event {
	sorted := slices.Clone(events)
	slices.SortStableFunc(sorted, Compare)
	seen := make(map[string]bool, len(sorted))
	return slices.DeleteFunc(sorted, func(e Event) bool {
		again := seen[e.ID]
		seen[e.ID] = true
		return again
	})
}

// normalized returns the event as it is stored: times in UTC, and a closing
// with its own time and person.
func (e Event) normalized() Event {
	e.At = e.At.UTC()
	if e.Closing != nil {
		c := closingOf(e)
		e.Closing = &c
	}
	return e
}

// closingOf returns the closing of a job.closed event; what it leaves out of
// at and by is the event's.
func closingOf(e Event) kb.Closing {
	c := *e.Closing
	if c.At.IsZero() {
		c.At = e.At
	}
	c.At = c.At.UTC()
	if c.By == "" {
		c.By = e.By
	}
	return c
}
