package shop

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// derived is what is worked out from all jobs and kept beside the journal, so
// that a command need not read them all: the counts that the shop learns from,
// and which jobs are open. It is brought up to date by the events that came
// since, and worked out anew when the journal or the base is another one. It
// may be deleted at any time.
type derived struct {
	Version int                `json:"version"`
	Journal string             `json:"journal"` // journal.Store.ID
	Base    string             `json:"base"`    // digest of the base
	Seq     uint64             `json:"seq"`     // events taken in
	Last    string             `json:"last"`    // id of the last of them
	Open    map[string]openJob `json:"open"`
	Counts  json.RawMessage    `json:"counts"`
	// Back is when the first callback of a job was opened, by that job.
	Back map[string]time.Time `json:"back,omitempty"`

	counts  *learn.Counts
	counted int // jobs added to counts since they were made or read
	changed bool
}

// openJob says when an open job was last acted on, and by whom.
type openJob struct {
	At time.Time `json:"at"`
	By string    `json:"by,omitempty"`
}

const derivedVersion = 2

func (s *Shop) derivedPath() string { return filepath.Join(s.cfg.Store, "derived.json") }

// current returns the derived data as of now.
func (s *Shop) current() (*derived, error) {
	if s.journal == nil {
		return &derived{counts: learn.New(s.base)}, nil
	}
	if s.derived == nil {
		s.derived = s.readDerived()
	}
	if s.derived != nil {
		if ok, err := s.catchUp(s.derived); err != nil || ok {
			return s.derived, err
		}
	}
	d, err := s.recount()
	if err == nil {
		s.derived = d
	}
	return d, err
}

// readDerived returns what was kept, or nil when it is of no use.
func (s *Shop) readDerived() *derived {
	raw, err := os.ReadFile(s.derivedPath())
	if err != nil {
		return nil
	}
	d := new(derived)
	id, err := s.journal.ID()
	if err != nil || json.Unmarshal(raw, d) != nil || d.Version != derivedVersion || d.Journal != id || d.Base != s.digest || d.Open == nil {
		return nil
	}
	if last, err := s.eventAt(d.Seq); err != nil || last != d.Last {
		return nil // the journal is an older copy, or went another way since
	}
	if d.counts, err = learn.Read(s.base, d.Counts); err != nil {
		return nil
	}
	return d
}

// eventAt returns the id of the event with an arrival number, "" for 0.
func (s *Shop) eventAt(seq uint64) (string, error) {
	if seq == 0 {
		return "", nil
	}
	for e, err := range s.journal.EventsSince(seq - 1) {
		return e.ID, err
	}
	return "", errors.New("no such event")
}

// recount works the derived data out from all jobs.
func (s *Shop) recount() (*derived, error) {
	id, err := s.journal.ID()
	if err != nil {
		return nil, err
	}
	d := &derived{Version: derivedVersion, Journal: id, Base: s.digest, Open: make(map[string]openJob), counts: learn.New(s.base), changed: true}
	if d.Seq, err = s.journal.Seq(); err != nil {
		return nil, err
	}
	if d.Last, err = s.eventAt(d.Seq); err != nil {
		return nil, err
	}
	if d.Back, err = s.callbacks(); err != nil {
		return nil, err
	}
	for j, err := range s.journal.Jobs() {
		if err != nil {
			return nil, err
		}
		d.take(&j)
	}
	return d, nil
}

// take counts a job that was not counted before.
func (d *derived) take(j *kb.Job) {
	if j.Closed() {
		delete(d.Open, j.ID)
		if !d.cameBack(j) {
			d.counts.Add(j)
			d.counted++
		}
		return
	}
	last := openJob{At: j.Opened, By: j.By}
	if n := len(j.Acts); n > 0 {
		last = openJob{At: j.Acts[n-1].At, By: j.Acts[n-1].By}
	}
	d.Open[j.ID] = last
}

// catchUp takes in the events since d was worked out, and tells whether that
// could be done: not when a job that was counted has changed.
func (s *Shop) catchUp(d *derived) (bool, error) {
	seq, last := d.Seq, d.Last
	fresh := make(map[string]int) // new events by job
	for e, err := range s.journal.EventsSince(d.Seq) {
		if err != nil {
			return false, err
		}
		seq, last = e.Seq, e.ID
		if e.CallbackOf != "" {
			return false, nil // the earlier job may have been counted
		}
		if e.Job != "" {
			fresh[e.Job]++
		}
	}
	for id, n := range fresh {
		if _, open := d.Open[id]; !open {
			events, err := s.journal.Events(id)
			if err != nil {
				return false, err
			}
			if len(events) != n {
				return false, nil
			}
		}
		j, err := s.journal.Job(id)
		if err != nil {
			return false, err
		}
		d.take(&j)
	}
	d.changed = d.changed || seq != d.Seq
	d.Seq, d.Last = seq, last
	return true, nil
}

// keepDerived writes the derived data for the next command. A command that only
// read and had no use for it is not held up by it. It is only a help: where it
// cannot be written the next command works it out anew.
func (s *Shop) keepDerived() {
	if s.derived == nil && !s.cfg.Write {
		return
	}
	d, err := s.current()
	if err != nil || !d.changed {
		return
	}
	if d.Counts, err = json.Marshal(d.counts); err != nil {
		return
	}
	raw, err := json.Marshal(d)
	if err != nil {
		return
	}
	tmp, err := os.CreateTemp(s.cfg.Store, "derived-*.tmp")
	if err != nil {
		return
	}
	_, err = tmp.Write(raw)
	if cerr := tmp.Close(); err != nil || cerr != nil || os.Rename(tmp.Name(), s.derivedPath()) != nil {
		os.Remove(tmp.Name())
	}
}
