// Package shop is one shop at work: its base, its store, what the store taught
// and the search index, opened together, and the acts on a job.
//
// The commands and the server call it; it decides nothing about how things are
// shown. Reading needs no store: a shop that has recorded nothing answers from
// the authored base.
package shop

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
	"sootsayer/kb/stock"
)

// Config says which shop is opened and how.
type Config struct {
	Store   string           // folder of the store; "" for DefaultStore
	Base    string           // folder of the base; "" for the shipped one
	By      string           // who acts
	Write   bool             // the store is opened for writing, and made where there is none
	Program string           // what this process is, for people who find the store in use
	Now     func() time.Time // nil: time.Now
	Notice  func(string)     // told what had to be done besides; nil: nobody

	// Before is asked with the base before a store is opened or made; an error
	// stops there. Nil: nothing is asked.
	Before func(*kb.Base) error
}

// Shop is an open shop. It belongs to one goroutine.
type Shop struct {
	cfg     Config
	base    *kb.Base
	digest  string // of the base's files
	journal *journal.Store
	derived *derived
	engines map[engineKey]*engineEntry
	unheard bool     // nobody is told notices
	told    []string // notices that need not be given twice

	stock    *stockLog    // what moved in stock, nil until it is asked for
	books    *stock.Books // folded from it, up to event booksSeq
	booksSeq uint64
}

// Open opens the base and, where there is one, the store.
func Open(cfg Config) (*Shop, error) {
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	unheard := cfg.Notice == nil
	if unheard {
		cfg.Notice = func(string) {}
	}
	if cfg.Store == "" {
		dir, err := DefaultStore(os.Getenv)
		if err != nil {
			return nil, err
		}
		cfg.Store = dir
	}
	s := &Shop{cfg: cfg, engines: make(map[engineKey]*engineEntry), unheard: unheard}
	if err := s.loadBase(); err != nil {
		return nil, err
	}
	if cfg.Before != nil {
		if err := cfg.Before(s.base); err != nil {
			return nil, err
		}
	}
	st, err := journal.Open(cfg.Store, journal.Options{ReadOnly: !cfg.Write, Now: cfg.Now, Program: cfg.Program, Notice: cfg.Notice})
	switch {
	case err == nil:
		s.journal = st
	case !cfg.Write && errors.Is(err, journal.ErrNoStore):
	default:
		return nil, err
	}
	return s, nil
}

// Close closes the store, keeping what was worked out from it for next time.
func (s *Shop) Close() error {
	if s.journal == nil {
		return nil
	}
	s.keepDerived()
	s.keepStock()
	return s.journal.Close()
}

// Base returns the base.
func (s *Shop) Base() *kb.Base { return s.base }

// Journal returns the store's journal, nil where nothing was recorded yet.
func (s *Shop) Journal() *journal.Store { return s.journal }

// Dir returns the folder of the store.
func (s *Shop) Dir() string { return s.cfg.Store }

// Now returns the time.
func (s *Shop) Now() time.Time { return s.cfg.Now() }

// Job returns a job in today's ids; an unknown one is an error that says how to list them.
func (s *Shop) Job(id string) (kb.Job, error) {
	if s.journal == nil {
		return kb.Job{}, fmt.Errorf("no job %s: nothing is recorded in %s yet; open a job with: sootsayer job open WORDS", id, s.cfg.Store)
	}
	j, err := s.journal.Job(id)
	if errors.Is(err, journal.ErrNoJob) {
		return j, fmt.Errorf("no job %s; see: sootsayer job list", id)
	}
	return s.renamed(j), err
}

// renamed returns a job in today's ids.
func (s *Shop) renamed(j kb.Job) kb.Job {
	now, _ := s.base.Renamed(&j)
	return *now
}

// DefaultStore returns $SOOTSAYER_STORE, else a folder of the user's data.
func DefaultStore(getenv func(string) string) (string, error) {
	if dir := getenv("SOOTSAYER_STORE"); dir != "" {
		return dir, nil
	}
	if dir := getenv("XDG_DATA_HOME"); dir != "" {
		return filepath.Join(dir, "sootsayer"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("there is no folder to keep the store in: %w; name one with --store or $SOOTSAYER_STORE", err)
	}
	switch runtime.GOOS {
	case "windows":
		return filepath.Join(home, "AppData", "Local", "sootsayer"), nil
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "sootsayer"), nil
	}
	return filepath.Join(home, ".local", "share", "sootsayer"), nil
}
