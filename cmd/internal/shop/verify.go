package shop

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"sootsayer/index"
	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// LoadBase returns the shipped base, or that of a folder, without a store; a
// base with errors is refused with all of them.
func LoadBase(dir string) (*kb.Base, error) {
	s := &Shop{cfg: Config{Base: dir}}
	err := s.loadBase()
	return s.base, err
}

// PartState says how one part of a store was found.
type PartState string

// How a part can be found. Only PartWrong is a fault; parts that are absent or
// outdated are made anew by the next command that needs them.
const (
	PartSound     PartState = "sound"
	PartAbsent    PartState = "absent"
	PartOutdated  PartState = "outdated"
	PartWrong     PartState = "wrong"
	PartRepaired  PartState = "repaired"
	PartUnchecked PartState = "unchecked" // another fault is in the way
)

// PartReport is what was found of one part of a store, in words.
type PartReport struct {
	Part  string    `json:"part"` // journal, base, index, jobs (their index), counts or stock
	State PartState `json:"state"`
	Says  string    `json:"says"`
	Wrong []string  `json:"wrong,omitempty"` // what is wrong, or was before the repair, each with its place
}

// Verification is what VerifyStore found and did.
type Verification struct {
	Store   string                 `json:"store"`
	Parts   []PartReport           `json:"parts"`
	Journal *journal.Report        `json:"journal,omitempty"` // as it is now; nil when it cannot be opened
	Salvage *journal.SalvageReport `json:"salvage,omitempty"` // when events had to be saved from a damaged file
}

// Sound tells whether no fault is left and no event is known to be lost.
func (v *Verification) Sound() bool {
	for i := range v.Parts {
		if s := v.Parts[i].State; s == PartWrong || s == PartUnchecked {
			return false
		}
	}
	return v.Salvage == nil || len(v.Salvage.Lost) == 0
}

// VerifyStore checks everything in a store: the journal with itself, the base,
// the search indexes with their digests and with what they are of, the kept counts
// with all jobs counted anew, and the kept movements of parts with the events.
// With repair it puts right what it finds by the mildest remedy; damaged files are
// kept aside. It works where Open fails because of damage. progress is told which
// part is being looked at. The error says why it could not look: there is no
// store, or another process has it.
func VerifyStore(ctx context.Context, cfg Config, repair bool, progress func(part string)) (Verification, error) {
	if cfg.Store == "" {
		dir, err := DefaultStore(os.Getenv)
		if err != nil {
			return Verification{}, err
		}
		cfg.Store = dir
	}
	s := &Shop{cfg: cfg, unheard: cfg.Notice == nil}
	v := Verification{Store: cfg.Store}
	progress("the journal")
	if err := s.verifyJournal(ctx, &v, repair); err != nil {
		return v, err
	}
	progress("the base")
	v.Parts = append(v.Parts, s.verifyBase())
	progress("the search index")
	v.Parts = append(v.Parts, s.verifyIndex(repair))
	progress("the index of past jobs")
	jobs, err := s.verifyJobIndex(&v, repair)
	v.Parts = append(v.Parts, jobs)
	if err != nil {
		return v, err
	}
	progress("the counts")
	counts, err := s.verifyCounts(ctx, &v, repair)
	v.Parts = append(v.Parts, counts)
	if err != nil {
		return v, err
	}
	progress("the stock")
	stock, err := s.verifyStock(&v, repair)
	v.Parts = append(v.Parts, stock)
	return v, err
}

func (s *Shop) journalOptions() journal.Options {
	return journal.Options{ReadOnly: true, Now: s.cfg.Now, Program: s.cfg.Program, Notice: s.cfg.Notice}
}

// verifyJournal verifies the journal and repairs it if asked.
func (s *Shop) verifyJournal(ctx context.Context, v *Verification, repair bool) error {
	if repair {
		return s.repairJournal(ctx, v)
	}
	part := PartReport{Part: "journal", State: PartSound}
	st, err := journal.Open(s.cfg.Store, s.journalOptions())
	var report journal.Report
	if err == nil {
		report, err = st.Verify(ctx)
		err = errors.Join(err, st.Close())
	}
	switch {
	case errors.Is(err, journal.ErrDamaged):
		part.State, part.Says = PartWrong, "it cannot be opened."
		part.Wrong = []string{err.Error()}
	case err != nil:
		return err
	default:
		part.Says = journalSays(report)
		if part.Wrong = troubles(report); len(part.Wrong) > 0 {
			part.State = PartWrong
		}
		v.Journal = &report
	}
	v.Parts = append(v.Parts, part)
	return nil
}

func (s *Shop) repairJournal(ctx context.Context, v *Verification) error {
	r, err := journal.Repair(ctx, s.cfg.Store, s.journalOptions())
	if err != nil {
		return err
	}
	part := PartReport{Part: "journal", State: PartSound, Says: journalSays(r.After), Wrong: troubles(r.Before)}
	switch r.Did {
	case journal.RemedyRebuild:
		part.State = PartRepaired
		part.Says += " What follows from the events was worked out anew; nothing is lost."
	case journal.RemedySalvage:
		part.State = PartRepaired
		part.Says += " " + r.Salvage.String()
	}
	if !r.After.OK() {
		part.State, part.Wrong = PartWrong, troubles(r.After)
	}
	v.Journal, v.Salvage = &r.After, r.Salvage
	v.Parts = append(v.Parts, part)
	return nil
}

func journalSays(r journal.Report) string {
	text := fmt.Sprintf("events: %d, jobs: %d, phrases: %d.", r.Events, r.Jobs, r.Phrases)
	switch r.Remedy {
	case journal.RemedyRebuild:
		text += " All events can be read; what follows from them is made anew by a repair, and nothing is lost."
	case journal.RemedySalvage:
		text += " Not all can be read; a repair keeps the damaged file and saves every event that can."
	}
	return text
}

func troubles(r journal.Report) []string {
	var out []string
	for _, t := range r.Troubles {
		out = append(out, t.Where+": "+t.What)
	}
	if r.More > 0 {
		out = append(out, fmt.Sprintf("%d more of the kind", r.More))
	}
	return out
}

// verifyBase loads the base.
func (s *Shop) verifyBase() PartReport {
	part := PartReport{Part: "base", State: PartSound, Says: "the one shipped."}
	if s.cfg.Base != "" {
		part.Says = fmt.Sprintf("the one in %s.", s.cfg.Base)
	}
	err := s.loadBase()
	if err == nil {
		return part
	}
	part.State = PartWrong
	var mistakes kb.Problems
	if !errors.As(err, &mistakes) {
		part.Wrong = []string{err.Error()}
	}
	for _, m := range mistakes {
		part.Wrong = append(part.Wrong, m.Error())
	}
	return part
}

// verifyIndex compares the search index with its digests and with the base.
func (s *Shop) verifyIndex(repair bool) PartReport {
	part := PartReport{Part: "index", State: PartUnchecked, Says: "it depends on the base."}
	if s.base == nil {
		return part
	}
	dir := filepath.Join(s.cfg.Store, "index")
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		part.State, part.Says = PartAbsent, "none yet; the next search builds it."
		return part
	}
	part.State, part.Says = PartSound, "it holds what was written and fits the base."
	current, wrong := index.Verify(dir, s.base)
	if part.Wrong = wrong; len(wrong) == 0 {
		if !current {
			part.Says = "it is of another base or program; the next search builds it anew."
		}
		return part
	}
	part.State, part.Says = PartWrong, "it is derived data: nothing is lost with it."
	if !repair {
		return part
	}
	var said []string
	x, err := index.Open(dir, s.base, index.Options{Now: s.cfg.Now, Log: func(text string) { said = append(said, text) }})
	if err == nil {
		err = x.Close()
	}
	part.Says = strings.Join(said, "; ") + "."
	_, left := index.Verify(dir, s.base)
	if err != nil {
		left = append(left, err.Error())
	}
	if part.State = PartRepaired; len(left) > 0 {
		part.State, part.Wrong = PartWrong, left
	}
	return part
}
