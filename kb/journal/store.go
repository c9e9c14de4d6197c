package journal

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

const (
	fileName  = "journal.db"
	pageSize  = 4096 // pinned, so that every machine writes the same file
	lockTries = 5
)

// Options say how a store is opened. The zero value opens it for writing.
type Options struct {
	// ReadOnly opens without changing the journal; any number of readers may
	// hold a store together, but none while a writer does. Where it may, it
	// still leaves a note of this process in the folder.
	ReadOnly bool
	// Timeout is how long to wait for another process; 0 means one second,
	// negative not at all.
	Timeout time.Duration
	// Now is the clock; nil means time.Now.
	Now func() time.Time
	// Program is what this process is, for people who find the store in use,
	// such as "sootsayer serve"; empty means the name it was started by.
	Program string
	// Notice is told, in a sentence, what opening had to do besides, such as
	// bringing an older store up to date; nil means nobody is.
	Notice func(string)

	// noSync leaves it to the system when the disk gets to see what is written,
	// for tests that have no power cut to fear.
	noSync bool
}

func (o Options) withDefaults() Options {
	switch {
	case o.Timeout == 0:
		o.Timeout = time.Second
	case o.Timeout < 0:
		o.Timeout = time.Nanosecond
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	o.Program = cmp.Or(o.Program, filepath.Base(os.Args[0]))
	if o.Notice == nil {
		o.Notice = func(string) {}
	}
	return o
}

func (o Options) bolt() *bolt.Options {
	return &bolt.Options{Timeout: o.Timeout, ReadOnly: o.ReadOnly, PageSize: pageSize, FreelistType: bolt.FreelistMapType,
		NoStatistics: true, NoSync: o.noSync, NoGrowSync: o.noSync}
}

// Store is an open journal. Its methods may be called by many goroutines at
// once; what they return shares no memory with the store.
type Store struct {
	db   *bolt.DB
	file *os.File // the one that db has open
	dir  string
	opt  Options
	note string       // path of the file that names this process, "" if there is none
	work atomic.Int64 // see worked
}

// Open opens the journal of a folder, and creates folder and journal unless
// opt.ReadOnly. It returns an error matching ErrNoStore, ErrInUse (an
// *InUseError), ErrDamaged, ErrNewer or ErrOutdated where those are the reason.
// A store of an older format is brought up to date after a copy was kept.
func Open(dir string, opt Options) (*Store, error) {
	return openAs(dir, opt, thisFormat)
}

func openAs(dir string, opt Options, f format) (*Store, error) {
	opt = opt.withDefaults()
	path := filepath.Join(dir, fileName)
	if !opt.ReadOnly {
		if err := create(dir, opt, f); err != nil {
			return nil, err
		}
	} else if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, noStore(dir)
	}
	db, file, err := openLocked(dir, opt)
	if err != nil {
		return nil, err
	}
	s := &Store{db: db, file: file, dir: dir, opt: opt}
	if err := s.bringUpToDate(f); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	s.note = leaveNote(dir, opt)
	if !opt.ReadOnly {
		clearTemporaries(path)
	}
	return s, nil
}

func noStore(dir string) error {
	return fail(ErrNoStore, "there is no %s in %s; open a job to begin a store there, or name the right folder", fileName, dir)
}

// Close closes the store; closing it again does nothing.
func (s *Store) Close() error {
	if s.note != "" {
		// While the lock is still held, so that nobody takes it for a dead one's.
		_ = os.Remove(s.note)
	}
	return s.db.Close()
}

// Dir returns the folder of the store.
func (s *Store) Dir() string { return s.dir }

// view runs a read-only transaction, update a writing one. Neither lets code
// of a caller run inside: it could wait for another transaction, which in turn
// waits for this one.
func (s *Store) view(read func(*bolt.Tx) error) error {
	defer s.worked(aLookUp)
	return s.explain(guarded(func() error { return s.db.View(read) }))
}

func (s *Store) update(write func(*bolt.Tx) error) error {
	if s.opt.ReadOnly {
		return fail(ErrReadOnly, "the store in %s was opened for reading only; nothing was recorded", s.dir)
	}
	defer s.worked(aChunk)
	err := s.explain(guarded(func() error { return s.db.Update(write) }))
	var known *problem
	if err != nil && !errors.As(err, &known) {
		return fmt.Errorf("it could not be written to %s; see whether the disk is full, then try again, which records nothing twice: %w", s.dir, err)
	}
	return err
}

func (s *Store) explain(err error) error {
	if errors.Is(err, berrors.ErrDatabaseNotOpen) {
		return fail(ErrClosed, "the store in %s was closed", s.dir)
	}
	return err
}
