package shop

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"time"

	"sootsayer/kb/learn"
)

// derived is what is worked out from all jobs and kept beside the journal, so
// that a command need not read them all: the counts that the shop learns from,
// and which jobs are open. It is brought up to date by the events that came
// since (see catchup.go), and worked out anew when the journal or the base is
// another one. It may be deleted at any time.
type derived struct {
	Version int                `json:"version"`
	Journal string             `json:"journal"` // journal.Store.ID
	Base    string             `json:"base"`    // digest of the base
	Seq     uint64             `json:"seq"`     // events taken in
	Last    string             `json:"last"`    // id of the last of them
	Open    map[string]openJob `json:"open"`
	Counts  json.RawMessage    `json:"counts"`
	Gone    goneThings         `json:"gone,omitzero"`  // what the base no longer had when the jobs were counted
	Told    string             `json:"told,omitempty"` // set of such things that people were last told of

	counts  *learn.Counts
	moves   int // how often counts were changed since they were made or read
	changed bool
}

// openJob says when an open job was last acted on, and by whom.
type openJob struct {
	At time.Time `json:"at"`
	By string    `json:"by,omitempty"`
}

const derivedVersion = 3

func (s *Shop) derivedPath() string { return filepath.Join(s.cfg.Store, "derived.json") }

// current returns the derived data as of now.
func (s *Shop) current() (*derived, error) {
	if s.journal == nil {
		return &derived{counts: learn.New(s.base)}, nil
	}
	if s.derived == nil {
		s.derived = s.readDerived()
	}
	mostly, err := s.mostlyNew()
	if err != nil {
		return nil, err
	}
	if s.derived == nil || mostly {
		d, err := s.recount()
		if err == nil {
			s.derived = d
			s.tellGone(d)
		}
		return d, err
	}
	s.tellGone(s.derived)
	if err := s.catchUp(s.derived); err != nil {
		s.derived = nil // it may be half way
		return nil, err
	}
	return s.derived, nil
}

// mostlyNew tells whether so many events came since the derived data was worked
// out that reading all jobs is quicker than taking them in: after an import of
// more jobs than there were.
func (s *Shop) mostlyNew() (bool, error) {
	if s.derived == nil {
		return false, nil
	}
	seq, err := s.journal.Seq()
	return err == nil && seq > s.derived.Seq && seq-s.derived.Seq > max(2*stretch, s.derived.Seq), err
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
