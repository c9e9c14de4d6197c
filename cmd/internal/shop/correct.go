package shop

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// CorrectClosing puts right how a closed job ended. The closing is given whole,
// as the job shall read from now on: pieces booked on the job are part of Used,
// as they are in the closing of a job that was read. A zero At keeps the time of
// the closing that is replaced.
//
// It is no callback: what the shop learned from the old closing is taken back,
// and nothing counts as a cure that failed. Correcting it again undoes it.
func (s *Shop) CorrectClosing(j kb.Job, c kb.Closing) (kb.Job, error) {
	if !j.Closed() {
		return j, fmt.Errorf("job %s is open; close it with: sootsayer job close %s --cause CAUSE", j.ID, j.ID)
	}
	if c.At.IsZero() {
		c.At = j.Closing.At
	}
	if c.At.Before(j.Opened) {
		return j, fmt.Errorf("job %s cannot be closed at %s, before it was opened at %s", j.ID, c.At.UTC().Format(time.RFC3339), j.Opened.UTC().Format(time.RFC3339))
	}
	if c.At.After(s.Now()) {
		return j, fmt.Errorf("job %s cannot be closed at %s, which is still to come", j.ID, c.At.UTC().Format(time.RFC3339))
	}
	events, err := s.journal.Events(j.ID)
	if err != nil {
		return j, err
	}
	stated, err := statedClosing(events)
	if err != nil {
		return j, fmt.Errorf("job %s: %w", j.ID, err)
	}
	now, said := journal.FoldJob(events), kb.Job{Closing: stated.Closing}
	if c.Used, err = unbooked(&c, s.renamed(now).Closing, s.renamed(said).Closing); err != nil {
		return j, fmt.Errorf("job %s: %w", j.ID, err)
	}
	e := s.journal.NewEvent(journal.KindJobClosed, j.ID, s.cfg.By)
	c.By = s.cfg.By
	e.Closing = &c
	return s.append(&j, e)
}

// ClosedAt reads when a job was closed: a time in RFC 3339, or a day, which
// stands for its noon as in an import, no earlier than the job was opened and no
// later than now.
func (s *Shop) ClosedAt(j *kb.Job, text string) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, fmt.Errorf("%q is no time; write a day as 2006-01-02, or a time as 2006-01-02T15:04:05Z", text)
	}
	at := day.Add(noon)
	if at.Before(j.Opened) && sameDay(at, j.Opened) {
		return j.Opened, nil
	}
	if now := s.Now(); at.After(now) && sameDay(at, now) {
		return now, nil
	}
	return at, nil
}

// sameDay compares days by UTC, as dates in files are.
func sameDay(a, b time.Time) bool {
	return a.UTC().Format(time.DateOnly) == b.UTC().Format(time.DateOnly)
}

// statedClosing returns the event that closed a job last, given all of its
// events in order.
func statedClosing(events []journal.Event) (*journal.Event, error) {
	gone := make(map[string]bool)
	for i := range events {
		if events[i].Kind == journal.KindFindingWithdrawn {
			gone[events[i].Of] = true
		}
	}
	for _, e := range slices.Backward(events) {
		if e.Kind == journal.KindJobClosed && e.Closing != nil && !gone[e.ID] {
			return &e, nil
		}
	}
	return nil, errors.New("its closing is not in the journal; run: sootsayer verify")
}

// unbooked returns the pieces that a closing has to state for the whole to be
// what it says, given the closing as it is now and as it was stated: the
// difference of these two is booked on the job and added again.
func unbooked(c, now, stated *kb.Closing) (map[string]float64, error) {
	if c.Used == nil {
		return nil, nil
	}
	out := make(map[string]float64, len(c.Used))
	for part, n := range c.Used {
		out[part] = n
	}
	for part := range bookedParts(now, stated) {
		booked := now.Used[part] - stated.Used[part]
		if left := c.Used[part] - booked; left > 0 {
			out[part] = left
		} else if delete(out, part); left < 0 {
			return nil, fmt.Errorf("%g pieces of %s are booked on it, more than the %g that were used; put the booking right first", booked, part, c.Used[part])
		}
	}
	return out, nil
}

// bookedParts are the parts of which pieces are booked on a closed job.
func bookedParts(now, stated *kb.Closing) map[string]bool {
	booked := make(map[string]bool)
	for _, used := range []map[string]float64{now.Used, stated.Used} {
		for part := range used {
			if now.Used[part] != stated.Used[part] {
				booked[part] = true
			}
		}
	}
	return booked
}

// Reopening says when a job was opened again, by whom and why.
type Reopening struct {
	At     time.Time `json:"at"`
	By     string    `json:"by,omitempty"`
	Reason string    `json:"reason,omitempty"`
}

// Reopenings lists when a job was opened again, the first time first.
func (s *Shop) Reopenings(job string) ([]Reopening, error) {
	if s.journal == nil {
		return nil, nil
	}
	events, err := s.journal.Events(job)
	if err != nil {
		return nil, err
	}
	var list []Reopening
	for _, e := range reopenings(events) {
		list = append(list, Reopening{At: e.At, By: e.By, Reason: e.Reason})
	}
	return list, nil
}
