package index

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/blevesearch/bleve/v2"
)

// folder is where an index lies on disk: <dir>/current with bleve's files and
// the manifest. It is only ever replaced whole, by renaming, so that several
// processes can use and rebuild it at the same time; bleve opens it read-only.
type folder struct {
	dir   string
	what  string // what it holds, for messages
	log   func(string)
	now   func() time.Time
	fits  func(m *manifest) error                                 // nil when the index is of what is searched
	lacks func(m *manifest) error                                 // errBehind when a whole one that fits lacks something; nil: never asked
	build func(dir string, why error) (stamp manifest, err error) // fills a new folder; why says what is wrong with the one in place
}

func (f *folder) current() string { return filepath.Join(f.dir, "current") }

// openAttempts is how often a folder is looked at again when another process
// replaced it meanwhile.
const openAttempts = 4

// errReplaced says that another process replaced the folder while it was opened.
var errReplaced = errors.New("another process keeps replacing it")

// open returns the index in the folder after rebuilding it where needed.
func (f *folder) open() (bleve.Index, error) {
	for attempt := range openAttempts {
		var opened bleve.Index
		before, why := f.examine()
		if attempt == 0 && errors.Is(why, fs.ErrNotExist) && f.beingReplaced() {
			continue
		}
		if why == nil {
			if opened, why = f.openCurrent(before); why == nil {
				return opened, nil
			}
		}
		if errors.Is(why, errReplaced) {
			continue
		}
		if err := f.rebuild(before, why); err != nil {
			return nil, err
		}
	}
	return nil, errReplaced
}

// beingReplaced waits a moment when the folder is there and nothing is in it:
// another process may just be putting an index in place.
func (f *folder) beingReplaced() bool {
	if _, err := os.Stat(f.dir); err != nil {
		return false
	}
	time.Sleep(20 * time.Millisecond)
	return true
}

// errOutdated says that an index was built from another base or by another
// version of the program.
var errOutdated = errors.New("built from another base or by another version")

// errBehind says that an index is whole but lacks what was recorded since.
var errBehind = errors.New("not up to date")

// examine looks at the index in the folder and returns what the folder is and
// nil when the index is whole and fits, else an error that wraps
// fs.ErrNotExist, errDamaged, errReplaced or what fits said.
func (f *folder) examine() (fs.FileInfo, error) {
	before, err := os.Stat(f.current())
	if err != nil {
		return nil, err
	}
	m, err := readManifest(f.current())
	if err == nil {
		err = f.fits(&m)
	}
	if err == nil {
		if d := m.damage(f.current()); len(d) > 0 {
			err = fmt.Errorf("%s: %w", strings.Join(d, "; "), errDamaged)
		}
	}
	if err == nil && f.lacks != nil {
		err = f.lacks(&m)
	}
	if !f.stillThere(before) {
		return nil, errReplaced
	}
	return before, err
}

// stillThere tells whether the folder is the one that was seen before: another
// process may have replaced it while its files were read one by one.
func (f *folder) stillThere(before fs.FileInfo) bool {
	now, err := os.Stat(f.current())
	return err == nil && os.SameFile(before, now)
}

// replaced tells whether another process put an index in place since the folder
// was seen, or was seen to be missing.
func (f *folder) replaced(before fs.FileInfo) bool {
	if before == nil {
		_, err := os.Stat(f.current())
		return err == nil
	}
	return !f.stillThere(before)
}

// openCurrent opens the index that was examined.
func (f *folder) openCurrent(examined fs.FileInfo) (bleve.Index, error) {
	opened, err := openReadOnly(f.current())
	if f.stillThere(examined) {
		if err != nil {
			err = fmt.Errorf("%v: %w", err, errDamaged)
		}
		return opened, err
	}
	if err == nil {
		err = opened.Close()
	}
	return nil, errors.Join(errReplaced, err)
}

// openReadOnly opens bleve's files.
func openReadOnly(dir string) (opened bleve.Index, err error) {
	err = guard(func() (err error) {
		opened, err = bleve.OpenUsing(dir, map[string]any{"read_only": true, "bolt_timeout": "500ms"})
		return err
	})
	if err != nil { // with an error bleve returns an index that is nil but not equal to nil
		return nil, err
	}
	return opened, nil
}

// guard turns a panic into an error. bbolt panics on some damaged files; the
// digests keep these out, but no panic of a library may end a command.
func guard(do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the index library failed: %v", p)
		}
	}()
	return do()
}
