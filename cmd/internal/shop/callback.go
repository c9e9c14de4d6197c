package shop

import (
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// callbackWindow is how long after its closing a job may come back for its
// count to be taken back. Common practice, no source: shops answer for their
// work for about a month.
const callbackWindow = 30 * 24 * time.Hour

// callbacks returns when the first callback of each job was opened that came
// back as a job of its own. One that was opened again needs none of this: it is
// open, or closed anew.
func (s *Shop) callbacks() (map[string]time.Time, error) {
	back := make(map[string]time.Time)
	for e, err := range s.journal.EventsOf(journal.KindJobOpened) {
		if err != nil {
			return nil, err
		}
		if first, there := back[e.CallbackOf]; e.CallbackOf != "" && (!there || e.At.Before(first)) {
			back[e.CallbackOf] = e.At
		}
	}
	return back, nil
}

// cameBack tells whether a closed job came back within the callback window: it
// teaches nothing then, its callback does.
func (d *derived) cameBack(j *kb.Job) bool {
	at, there := d.Back[j.ID]
	if !there {
		return false
	}
	after := at.Sub(j.Closing.At)
	return after >= 0 && after <= callbackWindow
}
