package journal

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Repaired is what Repair found and did.
type Repaired struct {
	Before  Report         `json:"before"`
	Did     Remedy         `json:"did"` // RemedyNone when nothing was wrong
	Salvage *SalvageReport `json:"salvage,omitempty"`
	After   Report         `json:"after"` // as verified afterwards
}

// Repair verifies the store in a folder and puts right what it finds by the
// mildest remedy: what follows from the events is worked out anew, and only
// when events themselves or the file cannot be read is the store salvaged.
func Repair(ctx context.Context, dir string, opt Options) (Repaired, error) {
	opt.ReadOnly = false
	var r Repaired
	if _, err := os.Stat(filepath.Join(dir, fileName)); errors.Is(err, fs.ErrNotExist) {
		return r, noStore(dir)
	}
	err := withStore(dir, opt, func(s *Store) (err error) {
		if r.Before, err = s.Verify(ctx); err != nil {
			return err
		}
		switch r.Did = r.Before.Remedy; r.Did {
		case RemedyNone:
			r.After = r.Before
		case RemedyRebuild:
			return s.Rebuild()
		}
		return nil
	})
	if errors.Is(err, ErrDamaged) {
		// It could not even be opened, or not be rebuilt.
		r.Before.salvage(fileName, "%v", err)
		r.Did, err = RemedySalvage, nil
	}
	if err != nil || r.Did == RemedyNone {
		return r, err
	}
	if r.Did == RemedySalvage {
		saved, err := Salvage(dir, opt)
		if err != nil {
			return r, err
		}
		r.Salvage = &saved
	}
	err = withStore(dir, opt, func(s *Store) (err error) {
		r.After, err = s.Verify(ctx)
		return err
	})
	return r, err
}

// withStore opens a store, runs fn and closes it.
func withStore(dir string, opt Options, fn func(*Store) error) error {
	s, err := Open(dir, opt)
	if err != nil {
		return err
	}
	return errors.Join(fn(s), s.Close())
}
