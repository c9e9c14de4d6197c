package index

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// rebuild builds the index beside the folder and puts it in place of the one
// that was examined, of which why says what is wrong.
func (f *folder) rebuild(examined fs.FileInfo, why error) error {
	if err := os.MkdirAll(f.dir, 0o700); err != nil {
		return err
	}
	f.removeStale()
	tmp, err := os.MkdirTemp(filepath.Dir(f.dir), fmt.Sprintf("%s.tmp-%d-", filepath.Base(f.dir), os.Getpid()))
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp) // nothing is left of it when all went well
	fresh := filepath.Join(tmp, "fresh")
	if err := os.Mkdir(fresh, 0o700); err != nil {
		return err
	}
	var stamp manifest
	err = guard(func() (err error) {
		stamp, err = f.build(fresh, why)
		return err
	})
	if err != nil {
		if f.replaced(examined) {
			return nil // what it was built from was replaced meanwhile; the caller looks again
		}
		return err
	}
	if err := stamp.write(fresh); err != nil {
		return err
	}
	if err := syncTree(fresh); err != nil {
		return err
	}
	if f.replaced(examined) {
		return nil // another process was quicker; the caller looks again
	}
	return f.replace(fresh, filepath.Join(tmp, "old"), why)
}

// replace moves what is in place away and the fresh index to its place. When
// another process was quicker the fresh one is given up and the caller looks
// again.
func (f *folder) replace(fresh, old string, why error) error {
	aside := old
	if errors.Is(why, errDamaged) {
		f.removeDamaged()
		aside = fmt.Sprintf("%s.damaged-%s", f.dir, f.now().UTC().Format("20060102T150405Z"))
	}
	err := os.Rename(f.current(), aside)
	moved := err == nil
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(fresh, f.current()); err != nil {
		if _, statErr := os.Stat(f.current()); statErr == nil {
			return nil
		}
		return err
	}
	switch { // a first index, or one brought up to date, is nothing to speak of
	case !moved || errors.Is(why, errBehind):
	case errors.Is(why, errDamaged):
		f.log(fmt.Sprintf("%s was %v; it was built anew, the old one is kept in %s", f.what, why, aside))
	default:
		f.log(fmt.Sprintf("%s was %v; it was built anew", f.what, why))
	}
	return syncDir(f.dir)
}

// removeDamaged removes indexes kept aside earlier.
func (f *folder) removeDamaged() {
	for _, old := range f.siblings(".damaged-") {
		os.RemoveAll(old) // what cannot be removed stays; it does no harm
	}
}

// staleAfter is the age at which a half-built index of a process that died is
// removed.
const staleAfter = time.Hour

func (f *folder) removeStale() {
	for _, tmp := range f.siblings(".tmp-") {
		info, err := os.Stat(tmp)
		if err == nil && f.now().Sub(info.ModTime()) > staleAfter {
			os.RemoveAll(tmp) // what cannot be removed stays; it does no harm
		}
	}
}

// siblings lists what lies beside the folder with its name and the given mark.
func (f *folder) siblings(mark string) []string {
	parent, err := os.ReadDir(filepath.Dir(f.dir))
	if err != nil {
		return nil
	}
	var out []string
	for _, d := range parent {
		if strings.HasPrefix(d.Name(), filepath.Base(f.dir)+mark) {
			out = append(out, filepath.Join(filepath.Dir(f.dir), d.Name()))
		}
	}
	return out
}

// syncTree makes sure that a folder is on disk before it is renamed.
func syncTree(dir string) error {
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			return syncDir(path)
		}
		file, err := os.OpenFile(path, os.O_RDWR, 0)
		if err != nil {
			return err
		}
		return errors.Join(file.Sync(), file.Close())
	})
}

// syncDir makes a folder's list of files durable. Systems that cannot do that
// for a folder say so, and need not.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		d.Close()
		return err
	}
	return d.Close()
}
