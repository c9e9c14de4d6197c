package shop

import (
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// counting is what a job counts as: nothing while it is open, else as one that
// stands, or as one that came back as another job within the callback window.
type counting struct{ job, back *kb.Job }

func (c counting) none() bool { return c.job == nil }

func (c counting) add(to *learn.Counts) {
	switch {
	case c.job == nil:
	case c.back != nil:
		to.AddCameBack(c.job, c.back)
	default:
		to.Add(c.job)
	}
}

// remove takes back what add counted.
func (c counting) remove(from *learn.Counts) {
	switch {
	case c.job == nil:
	case c.back != nil:
		from.RemoveCameBack(c.job, c.back)
	default:
		from.Remove(c.job)
	}
}

// asOf reads the jobs as the events up to an arrival number make them, in
// today's ids, and keeps what it read.
type asOf struct {
	shop *Shop
	seq  uint64
	read map[string]*kb.Job // nil for a job that is not there
}

func (s *Shop) asOf(seq uint64) *asOf {
	return &asOf{shop: s, seq: seq, read: make(map[string]*kb.Job)}
}

// job returns a job, nil when it is not there yet.
func (a *asOf) job(id string) (*kb.Job, error) {
	if j, done := a.read[id]; done {
		return j, nil
	}
	j, there, err := a.shop.journal.JobAsOf(id, a.seq)
	if err != nil {
		return nil, err
	}
	var job *kb.Job
	if there {
		job, _ = a.shop.base.Renamed(&j)
	}
	a.read[id] = job
	return job, nil
}

// counting tells what a job counts as, after the events up to an arrival number.
func (s *Shop) counting(j *kb.Job, seq uint64) (counting, error) {
	if !j.Closed() {
		return counting{}, nil
	}
	callbacks, err := s.journal.CallbacksAsOf(j.ID, seq)
	if err != nil {
		return counting{}, err
	}
	for i := range callbacks {
		if s.inWindow(j, &callbacks[i]) {
			back, _ := s.base.Renamed(&callbacks[i])
			return counting{j, back}, nil
		}
	}
	return counting{job: j}, nil
}

// inWindow tells whether a job came back soon enough after its closing for the
// closing to be doubted. A job that was opened again needs none of this: it is
// open, or closed anew.
func (s *Shop) inWindow(j, back *kb.Job) bool {
	after := back.Opened.Sub(j.Closing.At)
	return after >= 0 && after.Hours() <= 24*s.base.Settings.CallbackDays
}

// CameBackSoon tells whether a callback was opened within the callback window
// of the job that came back.
func (s *Shop) CameBackSoon(back *kb.Job) (bool, error) {
	j, err := s.Job(back.CallbackOf)
	return err == nil && j.Closed() && s.inWindow(&j, back), err
}
