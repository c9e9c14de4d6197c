package journal

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"time"

	bolt "go.etcd.io/bbolt"
)

// The entries of the bucket meta.
const (
	metaFormat    = "format_version"
	metaDerived   = "derived_version"
	metaStore     = "store"
	metaCreated   = "created"
	metaCreatedBy = "created_by"
)

// derivedVersion is the version of everything worked out from the events: the
// fold and the look-ups. Raise it when they change; stores of another version
// are then worked out anew when they are opened.
const derivedVersion = 3

// format is a version of the file and the way to it from older ones.
type format struct {
	version    int
	migrations []migration
}

// migration brings a file from one format to the next. It changes meta and
// events only: what is derived from them is worked out anew afterwards.
type migration struct {
	from  int
	apply func(*bolt.Tx) error
}

// thisFormat is the format that this program writes.
var thisFormat = format{version: 1}

// create makes an empty journal in the folder unless there is one. It is
// finished under another name first, so that a journal that is there is whole,
// and an empty file is always a damaged one.
func create(dir string, opt Options, f format) error {
	path := filepath.Join(dir, fileName)
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("no store can be made in %s: %w", dir, err)
	}
	temp, err := temporary(path)
	if err != nil {
		return fmt.Errorf("no store can be made in %s: %w", dir, err)
	}
	defer os.Remove(temp)
	if err := writeNew(temp, opt, f, nil); err != nil {
		return fmt.Errorf("no store can be made in %s: %w", dir, err)
	}
	// Another process may have been quicker; then its journal is the one.
	if err := putInPlace(temp, path); err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("no store can be made in %s: %w", dir, err)
	}
	return nil
}

// writeNew writes a journal with the given events, which are taken as they are
// and numbered in their order.
func writeNew(path string, opt Options, f format, events []Event) (err error) {
	db, err := bolt.Open(path, 0o600, opt.bolt())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	err = db.Update(func(tx *bolt.Tx) error {
		for _, name := range append([][]byte{bucketMeta, bucketEvents}, derivedBuckets...) {
			if _, err := tx.CreateBucket(name); err != nil {
				return err
			}
		}
		return putMeta(tx, map[string]string{
			metaFormat:    strconv.Itoa(f.version),
			metaDerived:   strconv.Itoa(derivedVersion),
			metaStore:     rand.Text(),
			metaCreated:   opt.Now().UTC().Format(time.RFC3339),
			metaCreatedBy: opt.Program,
		})
	})
	for len(events) > 0 && err == nil {
		n := min(batchSize, len(events))
		err = db.Update(func(tx *bolt.Tx) error { return appendAll(tx, events[:n]) })
		events = events[n:]
	}
	return err
}

func putMeta(tx *bolt.Tx, values map[string]string) error {
	meta := tx.Bucket(bucketMeta)
	for name, value := range values {
		if err := meta.Put([]byte(name), encodeRecord([]byte(value))); err != nil {
			return err
		}
	}
	return nil
}

// metaNumber reads a version from meta.
func metaNumber(tx *bolt.Tx, name string) (int, error) {
	meta := tx.Bucket(bucketMeta)
	if meta == nil {
		return 0, damaged("its list %q is missing", bucketMeta)
	}
	body, err := decodeRecord(meta.Get([]byte(name)))
	if err != nil {
		return 0, damaged("its %s cannot be read: %v", name, err)
	}
	n, err := strconv.Atoi(string(body))
	if err != nil {
		return 0, damaged("its %s is %q", name, body)
	}
	return n, nil
}

// bringUpToDate refuses a newer store, migrates an older one and works out
// anew what is derived where that is missing or of another version.
func (s *Store) bringUpToDate(f format) error {
	var version int
	var stale bool
	err := s.view(func(tx *bolt.Tx) error {
		var err error
		if version, err = metaNumber(tx, metaFormat); err != nil || version > f.version {
			return err
		}
		if tx.Bucket(bucketEvents) == nil {
			return damaged("its list %q is missing", bucketEvents)
		}
		derived, err := metaNumber(tx, metaDerived)
		_, tablesErr := tablesOf(tx)
		stale = err != nil || tablesErr != nil || derived != derivedVersion
		return nil
	})
	switch {
	case err != nil:
		return err
	case version > f.version:
		return fail(ErrNewer, "this store was written by a newer sootsayer (format %d, this one reads up to %d); update sootsayer", version, f.version)
	case version == f.version && !stale:
		return nil
	case s.opt.ReadOnly:
		return fail(ErrOutdated, "the store in %s is of an older sootsayer and has to be brought up to date first; run `sootsayer verify --repair` once", s.dir)
	case version < f.version:
		return s.migrate(version, f)
	}
	s.opt.Notice("the jobs and look-ups of the store are worked out anew from its events")
	return s.Rebuild()
}

// migrate keeps a copy of the file and brings the store to the format in one
// transaction, so that it is of either the old or the new one.
func (s *Store) migrate(version int, f format) error {
	kept := filepath.Join(s.dir, fmt.Sprintf("%s.format-%d-%s", fileName, version, stamp(s.opt.Now())))
	if err := s.Backup(kept); err != nil {
		return err
	}
	err := s.update(func(tx *bolt.Tx) error {
		for v := version; v < f.version; v++ {
			if err := f.step(tx, v); err != nil {
				return err
			}
		}
		if err := putMeta(tx, map[string]string{metaFormat: strconv.Itoa(f.version)}); err != nil {
			return err
		}
		return rebuild(tx)
	})
	if err != nil {
		return fmt.Errorf("the store could not be brought from format %d to %d and stays as it was: %w", version, f.version, err)
	}
	s.opt.Notice(fmt.Sprintf("the store was brought from format %d to %d; the old one is kept as %s", version, f.version, kept))
	return nil
}

// step applies the migration from one version.
func (f format) step(tx *bolt.Tx, from int) error {
	for _, m := range f.migrations {
		if m.from == from {
			return m.apply(tx)
		}
	}
	return fmt.Errorf("no way leads from format %d to %d", from, from+1)
}
