package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	berrors "go.etcd.io/bbolt/errors"
)

// SalvageReport is what Salvage did.
type SalvageReport struct {
	Kept    string `json:"kept"`           // where the damaged file is now
	Saved   int    `json:"saved"`          // events in the fresh journal
	Rescued int    `json:"rescued"`        // of these, found on pages that nothing leads to any more
	Lost    []Lost `json:"lost,omitempty"` // events known to be missing
	// MayMiss tells that events may be lost of which no trace is left, because
	// the file was cut short or its beginning could not be read.
	MayMiss bool `json:"may_miss,omitempty"`
}

// Lost is an event that could not be saved.
type Lost struct {
	Seq uint64 `json:"seq"`          // its arrival number in the damaged file
	ID  string `json:"id,omitempty"` // when it is known
}

// String says in a few sentences what was done and what to do now.
func (r SalvageReport) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d events were saved to a fresh journal; the damaged file is kept as %s.", r.Saved, r.Kept)
	if len(r.Lost) > 0 {
		fmt.Fprintf(&b, " %d events are lost:", len(r.Lost))
		for _, l := range r.Lost {
			fmt.Fprintf(&b, " number %d", l.Seq)
			if l.ID != "" {
				fmt.Fprintf(&b, " (%s)", l.ID)
			}
			b.WriteString(",")
		}
		b.WriteString(" restore them from a copy or record them again.")
	}
	if r.MayMiss {
		b.WriteString(" What was recorded last may be missing without a trace; compare the newest jobs with a copy.")
	}
	return b.String()
}

// Salvage saves what can be read of a damaged journal. It writes every event
// with a good checksum to a fresh journal, gives that the name of the old one
// in one step, and keeps the old one beside it under a name with ".damaged-"
// and the time. It works on a sound journal too, and then loses nothing. It
// holds all events in memory.
func Salvage(dir string, opt Options) (SalvageReport, error) {
	opt = opt.withDefaults()
	opt.ReadOnly = false
	path := filepath.Join(dir, fileName)
	db, file, err := openFile(path, opt)
	switch {
	case errors.Is(err, berrors.ErrTimeout), errors.Is(err, fs.ErrNotExist):
		return SalvageReport{}, openError(dir, err)
	case err != nil:
		if file, err = os.Open(path); err != nil {
			return SalvageReport{}, openError(dir, err)
		}
		defer file.Close()
	default:
		defer db.Close()
	}
	f, err := findEvents(db, file)
	if err != nil {
		return SalvageReport{}, err
	}
	temp, err := temporary(path)
	if err != nil {
		return SalvageReport{}, fmt.Errorf("nothing was changed; there is no room for a fresh journal in %s: %w", dir, err)
	}
	defer os.Remove(temp)
	if err := writeNew(temp, opt, thisFormat, f.inOrder()); err != nil {
		return SalvageReport{}, fmt.Errorf("nothing was changed; a fresh journal could not be written in %s: %w", dir, err)
	}
	if db != nil && runtime.GOOS == "windows" {
		// There a file cannot be replaced while it is open.
		if err := db.Close(); err != nil {
			return SalvageReport{}, err
		}
	}
	r := f.report()
	r.Kept = fmt.Sprintf("%s.damaged-%s", path, stamp(opt.Now()))
	return r, replace(temp, path, r.Kept, file)
}

// replace puts a finished file in the place of another and keeps the other
// under a new name. At no moment is there no file at path, unless the file
// system has no links.
func replace(temp, path, keep string, old *os.File) error {
	if same, err := isFile(path, old); err == nil && !same {
		return fmt.Errorf("%s was replaced by another program meanwhile; nothing was changed", path)
	}
	if err := os.Link(path, keep); errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("nothing was changed; try again in a moment: %w", err)
	} else if err != nil {
		if err := os.Rename(path, keep); err != nil {
			return fmt.Errorf("nothing was changed; the damaged file could not be kept: %w", err)
		}
	}
	if err := os.Rename(temp, path); err != nil {
		return fmt.Errorf("the fresh journal could not be put in place; the damaged one is %s: %w", keep, err)
	}
	return syncDir(filepath.Dir(path))
}
