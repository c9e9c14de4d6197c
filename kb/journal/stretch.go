package journal

import "sootsayer/kb"

// Stretch is what was taken in one stretch of a job, from an opening to a
// closing. What its closing states and what was booked besides are kept apart:
// the first came from the closing's place when the job was closed, the second
// from each event's place when that was recorded.
type Stretch struct {
	Closing *kb.Closing // as stated, without what was booked; nil while the job is open
	Event   string      // id of the event that closed it
	Booked  []Event     // part.used, in order
}

// Stretches returns the stretches of a job, given all of its events in any
// order; the rules are those of FoldJob. A stretch in which the job stands open
// is there only where something was booked.
func Stretches(events []Event) []Stretch {
	f := folded(events)
	if f.closing == nil && len(f.parts) == 0 {
		return f.past
	}
	return append(f.past, f.stretch())
}

func (f *fold) stretch() Stretch {
	s := Stretch{Closing: f.closing, Booked: f.parts}
	if f.closing != nil {
		s.Event = f.by
	}
	return s
}
