package score

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"sootsayer/kb"
)

// Case is a closed job and, where it came back within the callback window, the
// job that was opened for it then, which may still be open.
type Case struct {
	Job  *kb.Job
	Back *kb.Job
}

// What happens to a case, in the order in which it does.
const (
	predicted  = iota
	closed     // it teaches from now on
	cameBack   // its callback was opened
	backClosed // and closed
)

// event is one thing that happens to a case.
type event struct {
	at    time.Time
	phase int // order at the same instant
	what  int
	of    int // index of the case
}

// The order at the same instant: what is predicted is predicted before anything
// that was closed then is learned. Only that an earlier job has come back is
// known at once, to the callback too.
const (
	known = iota
	open
	learned
)

// timeline lists what happens to the cases in the order of time. It is the same
// for any order of the cases. A job whose closing is dated before its opening
// teaches from its opening on: it must not help to predict itself.
func timeline(cases []Case) []event {
	events := make([]event, 0, 2*len(cases))
	for i := range cases {
		job, back := cases[i].Job, cases[i].Back
		end := later(job.Closing.At, job.Opened)
		events = append(events, event{job.Opened, open, predicted, i}, event{end, learned, closed, i})
		if back == nil {
			continue
		}
		again := event{back.Opened, known, cameBack, i}
		if !end.Before(back.Opened) {
			again.at, again.phase = end, learned
		}
		events = append(events, again)
		if back.Closed() {
			events = append(events, event{later(back.Closing.At, again.at), learned, backClosed, i})
		}
	}
	slices.SortFunc(events, func(a, b event) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.phase, b.phase), strings.Compare(cases[a.of].Job.ID, cases[b.of].Job.ID), cmp.Compare(a.what, b.what))
	})
	return events
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
