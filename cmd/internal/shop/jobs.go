package shop

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// CurrentJob returns the job that a command without a job number means: the
// open one the person acted on last, else the only open one.
func (s *Shop) CurrentJob() (kb.Job, error) {
	d, err := s.current()
	if err != nil {
		return kb.Job{}, err
	}
	ids := slices.Collect(maps.Keys(d.Open))
	slices.SortFunc(ids, func(a, b string) int {
		mineA, mineB := d.Open[a].By == s.cfg.By, d.Open[b].By == s.cfg.By
		if mineA != mineB {
			return map[bool]int{true: -1, false: 1}[mineA]
		}
		return cmp.Or(d.Open[b].At.Compare(d.Open[a].At), strings.Compare(b, a))
	})
	switch {
	case len(ids) == 0:
		return kb.Job{}, errors.New("no job is open; open one with: sootsayer job open WORDS --family FAMILY")
	case len(ids) > 1 && d.Open[ids[0]].By != s.cfg.By:
		return kb.Job{}, fmt.Errorf("which job? %d are open and none is yours; name one of: %s", len(ids), strings.Join(ids, ", "))
	}
	return s.Job(ids[0])
}

// Jobs goes through all jobs in today's ids, as journal.Store.Jobs does.
func (s *Shop) Jobs() iter.Seq2[kb.Job, error] {
	return func(yield func(kb.Job, error) bool) {
		if s.journal == nil {
			return
		}
		for j, err := range s.journal.Jobs() {
			if !yield(s.renamed(j), err) {
				return
			}
		}
	}
}

// OpenJobs returns the ids of the open jobs, numbers first and in their order.
func (s *Shop) OpenJobs() ([]string, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return slices.SortedFunc(maps.Keys(d.Open), byNumber), nil
}

// byNumber orders ids of jobs as the journal does: numbers before other ids, a
// longer number after a shorter one.
func byNumber(a, b string) int {
	number := func(id string) int {
		if strings.Trim(id, "0123456789") == "" {
			return len(id)
		}
		return math.MaxInt
	}
	return cmp.Or(cmp.Compare(number(a), number(b)), strings.Compare(a, b))
}

// Complaint is what a job is opened with. Clear symptoms were understood from
// the words; chosen ones were picked by the person for them, "no" for those
// denied.
type Complaint struct {
	Words, Family, Model, Appliance, CallbackOf string
	Symptoms                                    []kb.Finding
	Chosen                                      []string
}

// OpenJob opens a job and records its symptoms.
func (s *Shop) OpenJob(c Complaint) (kb.Job, error) {
	id, err := s.journal.OpenJob(func(job string) []journal.Event {
		opened := s.journal.NewEvent(journal.KindJobOpened, job, s.cfg.By)
		opened.Family, opened.Model, opened.Appliance = c.Family, c.Model, c.Appliance
		opened.Complaint, opened.CallbackOf = c.Words, c.CallbackOf
		events := []journal.Event{opened}
		for i := range c.Symptoms {
			e := s.journal.NewEvent(journal.KindFindingRecorded, job, s.cfg.By)
			e.Finding = &c.Symptoms[i]
			events = append(events, e)
		}
		for _, symptom := range c.Chosen {
			e := s.journal.NewEvent(journal.KindPhraseChosen, job, s.cfg.By)
			e.Family, e.Phrase, e.Symptom = c.Family, c.Words, symptom
			events = append(events, e)
		}
		return events
	})
	if err != nil {
		return kb.Job{}, err
	}
	return s.Job(id)
}

// errClosed says that a job takes no more findings.
func errClosed(j *kb.Job) error {
	return fmt.Errorf("job %s is closed since %s; if the trouble came back: sootsayer job reopen %s", j.ID, j.Closing.At.Local().Format("2 Jan 2006"), j.ID)
}

// Record records findings on an open job, all or none. Evidence that cannot be
// counted together with the rest is refused before anything is written.
func (s *Shop) Record(j kb.Job, findings ...kb.Finding) (kb.Job, error) {
	var acts []kb.Act
	var events []journal.Event
	for i := range findings {
		acts = append(acts, kb.Act{Finding: &findings[i]})
		e := s.journal.NewEvent(journal.KindFindingRecorded, j.ID, s.cfg.By)
		e.Finding = &findings[i]
		events = append(events, e)
	}
	return s.act(j, acts, events)
}

// Tried records a fix that was done and did not cure, and the minutes it took
// with its proof, 0 when they are not known.
func (s *Shop) Tried(j kb.Job, fix string, minutes float64) (kb.Job, error) {
	e := s.journal.NewEvent(journal.KindFixTried, j.ID, s.cfg.By)
	e.Fix, e.Minutes = fix, minutes
	return s.act(j, []kb.Act{{Tried: fix, Minutes: minutes}}, []journal.Event{e})
}

// SetState records how the equipment stands.
func (s *Shop) SetState(j kb.Job, state map[string]string) (kb.Job, error) {
	e := s.journal.NewEvent(journal.KindStateChanged, j.ID, s.cfg.By)
	e.State = state
	return s.act(j, []kb.Act{{State: state}}, []journal.Event{e})
}

func (s *Shop) act(j kb.Job, acts []kb.Act, events []journal.Event) (kb.Job, error) {
	if j.Closed() {
		return j, errClosed(&j)
	}
	try := j
	try.Acts = append(slices.Clone(j.Acts), acts...)
	if _, err := s.Believe(&try); err != nil {
		return j, err
	}
	return s.append(&j, events...)
}

// append records events of a job and returns it as they make it. They are dated
// after all that is recorded of it and after each other, also when a clock was
// set back: an act that came before a closing would mean something else.
func (s *Shop) append(j *kb.Job, events ...journal.Event) (kb.Job, error) {
	all, err := s.journal.Events(j.ID)
	if err != nil {
		return *j, err
	}
	for i := range events {
		e := &events[i]
		if n := len(all); n > 0 && journal.Compare(*e, all[n-1]) <= 0 {
			e.At = all[n-1].At.Add(time.Millisecond)
		}
		all = append(all, *e)
	}
	if _, err := s.journal.Append(events...); err != nil {
		return *j, err
	}
	return s.Job(j.ID)
}

// Undo takes back the last thing recorded on an open job and returns it.
func (s *Shop) Undo(j kb.Job) (kb.Job, kb.Act, error) {
	if j.Closed() {
		return j, kb.Act{}, errClosed(&j)
	}
	if len(j.Acts) == 0 {
		return j, kb.Act{}, fmt.Errorf("job %s has nothing to undo", j.ID)
	}
	last := j.Acts[len(j.Acts)-1]
	e := s.journal.NewEvent(journal.KindFindingWithdrawn, j.ID, s.cfg.By)
	e.Of = last.Event
	if _, err := s.journal.Append(e); err != nil {
		return j, last, err
	}
	j, err := s.Job(j.ID)
	return j, last, err
}

// CloseJob closes an open job.
func (s *Shop) CloseJob(j kb.Job, c kb.Closing) (kb.Job, error) {
	if j.Closed() {
		return j, errClosed(&j)
	}
	e := s.journal.NewEvent(journal.KindJobClosed, j.ID, s.cfg.By)
	c.At, c.By = time.Time{}, "" // those of the event
	e.Closing = &c
	return s.append(&j, e)
}

// Reopen opens a closed job again as its callback: what it had taught is taken
// back until it is closed anew.
func (s *Shop) Reopen(j kb.Job, reason string) (kb.Job, error) {
	if !j.Closed() {
		return j, fmt.Errorf("job %s is open; go on with: sootsayer job next %s", j.ID, j.ID)
	}
	e := s.journal.NewEvent(journal.KindJobReopened, j.ID, s.cfg.By)
	e.Reason = reason
	return s.append(&j, e)
}
