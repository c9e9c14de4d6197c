package journal

import (
	"maps"
	"slices"

	"sootsayer/kb"
)

// FoldJob works out a job from its events, given in any order; they are taken
// in the order of (at, id), each id once. All events must be of one job. No
// order is an error; what makes no sense has no effect:
//
//   - job.opened: the first one says what the job is; later ones are ignored. A
//     job without one has no family and a zero Opened.
//   - finding.recorded, fix.tried, state.changed: add an act while the job is
//     open. On a closed job they have no effect, not even after it is reopened:
//     what is seen after the cure says nothing about the fault.
//   - finding.withdrawn: the event that it names has no effect, whichever of
//     the two comes first and whether or not the job is closed. It takes back
//     findings, tried fixes, states, parts used, closings and reopenings; not
//     an opening, and not another withdrawal.
//   - job.closed: closes the job; on a closed job it replaces the closing, as a
//     correction.
//   - job.reopened: moves the closing to the past ones; on an open job it has
//     no effect.
//   - part.used: adds its pieces to the parts of the closing that ends this
//     stretch of the job, also when it is booked after that closing.
//
// The other kinds have no effect on a job.
func FoldJob(events []Event) kb.Job {
	job, _ := foldJob(events)
	return job
}

// foldJob also returns the part.used events that no closing counts yet.
func foldJob(events []Event) (kb.Job, []Event) {
	f := folded(events)
	if f.closing == nil {
		return f.job, f.parts
	}
	f.job.Closing = f.closed()
	return f.job, nil
}

func folded(events []Event) *fold {
	ordered := inOrder(events)
	f := &fold{gone: make(map[string]bool)}
	for _, e := range ordered {
		if e.Kind == KindFindingWithdrawn {
			f.gone[e.Of] = true
		}
	}
	for _, e := range ordered {
		f.job.ID = e.Job
		if e.Kind == KindJobOpened || !f.gone[e.ID] {
			f.apply(e)
		}
	}
	return f
}

// fold is a job being worked out.
type fold struct {
	job     kb.Job
	gone    map[string]bool // ids of events taken back
	opened  bool
	closing *kb.Closing // as stated; nil while the job is open
	by      string      // id of the event that closed it
	parts   []Event     // part.used since the job was opened or last reopened
	past    []Stretch   // what reopenings ended
}

func (f *fold) apply(e Event) {
	switch e.Kind {
	case KindJobOpened:
		f.open(e)
	case KindFindingRecorded:
		if e.Finding != nil {
			f.act(kb.Act{Event: e.ID, At: e.At, By: e.By, Finding: cloneFinding(e.Finding)})
		}
	case KindFixTried:
		f.act(kb.Act{Event: e.ID, At: e.At, By: e.By, Tried: e.Fix, Minutes: e.Minutes})
	case KindStateChanged:
		f.act(kb.Act{Event: e.ID, At: e.At, By: e.By, State: maps.Clone(e.State)})
	case KindJobClosed:
		if e.Closing != nil {
			c := closingOf(e)
			f.closing, f.by = &c, e.ID
		}
	case KindJobReopened:
		if f.closing != nil {
			f.job.Past = append(f.job.Past, *f.closed())
			f.past = append(f.past, f.stretch())
			f.closing, f.parts = nil, nil
		}
	case KindPartUsed:
		f.parts = append(f.parts, e)
	}
}

func (f *fold) open(e Event) {
	if f.opened {
		return
	}
	f.opened = true
	f.job.Family, f.job.Model, f.job.Appliance = e.Family, e.Model, e.Appliance
	f.job.Complaint, f.job.CallbackOf = e.Complaint, e.CallbackOf
	f.job.Opened, f.job.By = e.At, e.By
}

func (f *fold) act(a kb.Act) {
	if f.closing == nil {
		f.job.Acts = append(f.job.Acts, a)
	}
}

// closed is the stated closing with the parts booked on the job added to it. A
// part whose pieces were all put back is not listed; Used stays nil when
// nobody stated what was used.
func (f *fold) closed() *kb.Closing {
	c := *f.closing
	c.Causes, c.Fixes, c.Used = slices.Clone(c.Causes), slices.Clone(c.Fixes), maps.Clone(c.Used)
	for _, e := range f.parts {
		if e.Qty == nil {
			continue
		}
		if c.Used == nil {
			c.Used = make(map[string]float64)
		}
		if c.Used[e.Part] += *e.Qty; c.Used[e.Part] == 0 {
			delete(c.Used, e.Part)
		}
	}
	if len(c.Used) == 0 && f.closing.Used == nil {
		c.Used = nil
	}
	return &c
}

func cloneFinding(f *kb.Finding) *kb.Finding {
	c := *f
	if f.Reading != nil {
		c.Reading = new(*f.Reading)
	}
	c.Weights = maps.Clone(f.Weights)
	return &c
}
