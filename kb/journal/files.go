package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	bolt "go.etcd.io/bbolt"
)

// isFile tells whether the path still leads to the open file.
func isFile(path string, file *os.File) (bool, error) {
	is, err := file.Stat()
	if err != nil {
		return false, err
	}
	stands, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && os.SameFile(is, stands), err
}

// stamp is a time as it stands in names of kept files.
func stamp(at time.Time) string { return at.UTC().Format("20060102T150405.000Z") }

// temporary returns the name of a new empty file beside path.
func temporary(path string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".new-*")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// clearTemporaries removes what a killed process left of files it was about to
// put beside path. Younger ones may be in the making.
func clearTemporaries(path string) {
	left, _ := filepath.Glob(path + ".new-*") // the only error is a bad pattern
	for _, name := range left {
		if info, err := os.Stat(name); err == nil && time.Since(info.ModTime()) > time.Hour {
			_ = os.Remove(name)
		}
	}
}

// putInPlace gives a finished file its name unless that name is taken, in
// which case the error matches fs.ErrExist. The name appears with the whole
// content or not at all.
func putInPlace(temp, path string) error {
	defer os.Remove(temp)
	err := os.Link(temp, path)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		// A file system without links: a rename would replace, so look first.
		if _, statErr := os.Lstat(path); statErr == nil {
			return fs.ErrExist
		}
		err = os.Rename(temp, path)
	}
	if err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// syncDir makes the names in a folder last. Some systems cannot do that to a
// folder; there the names last as the system sees fit.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}

// Backup writes a copy of the whole journal, as it stands at one moment, to a
// new file while others go on working. It does not replace a file: the error
// then matches fs.ErrExist.
func (s *Store) Backup(path string) error {
	temp, err := temporary(path)
	if err != nil {
		return fmt.Errorf("no copy was made; name a folder that can be written: %w", err)
	}
	err = s.view(func(tx *bolt.Tx) error { return writeSynced(temp, tx) })
	if err == nil {
		err = putInPlace(temp, path)
	}
	if err != nil {
		_ = os.Remove(temp)
		return fmt.Errorf("no copy was made at %s: %w", path, err)
	}
	return nil
}

func writeSynced(path string, from io.WriterTo) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = from.WriteTo(f)
	return errors.Join(err, f.Sync(), f.Close())
}
