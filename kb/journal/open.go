package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// openLocked opens and locks the file. When the file was replaced while this
// process waited for the lock, what is locked is not the store any more, and
// it tries again.
func openLocked(dir string, opt Options) (*bolt.DB, *os.File, error) {
	path := filepath.Join(dir, fileName)
	for range lockTries {
		db, file, err := openFile(path, opt)
		if err != nil {
			return nil, nil, openError(dir, err)
		}
		same, err := isFile(path, file)
		if err == nil && same {
			if err = checkTree(file, !opt.ReadOnly); err == nil {
				return db, file, nil
			}
		}
		if err = errors.Join(err, db.Close()); err != nil {
			return nil, nil, err
		}
	}
	return nil, nil, fmt.Errorf("%s is being replaced again and again; find out which program does so", path)
}

// openFile is bolt.Open with the panics and faults of a damaged file turned
// into errors. The file is returned too, for its locks and its length.
func openFile(path string, opt Options) (db *bolt.DB, file *os.File, err error) {
	bopt := opt.bolt()
	bopt.OpenFile = func(name string, flag int, perm os.FileMode) (*os.File, error) {
		// The file was there a moment ago; a new, empty one would hide that it
		// is gone.
		var openErr error
		if file, openErr = os.OpenFile(name, flag&^os.O_CREATE, perm); openErr != nil {
			return nil, openErr
		}
		return file, checkBeginning(file)
	}
	defer func() {
		if err != nil && file != nil {
			// bolt does both on an error but not on a panic, and then the file
			// stays mapped, which keeps its lock beyond the closing. Twice does
			// no harm.
			_ = unlock(file)
			_ = file.Close()
		}
	}()
	err = guarded(func() error {
		var openErr error
		db, openErr = bolt.Open(path, 0o600, bopt)
		return openErr
	})
	return db, file, err
}

// checkBeginning looks at what bolt relies on before anything else: the length
// of the file and the list of free pages. Of an empty file bolt would make a new
// store, past the end of a short one it would run into a fault, and for a list
// of a wrong length it would ask for all memory there is.
//
// The lock is not held yet. A writer makes the file longer before it writes the
// header that says so, and leaves the pages of the newest header alone; so what
// is wrong although that header is still the newest is wrong indeed.
func checkBeginning(file *os.File) error {
	for {
		h, ok := newestHeader(file)
		err := checkLength(file, h)
		if err == nil && ok {
			w := newWalk(file, h)
			w.freelist(h.freelist)
			err = w.err()
		}
		if now, _ := newestHeader(file); err == nil || now.tx == h.tx {
			return err
		}
	}
}

func checkLength(file *os.File, h header) error {
	info, err := file.Stat()
	if used := int64(h.pages) * pageSize; err == nil && (info.Size() == 0 || info.Size() < used) {
		err = damaged("%s is cut short to %d of %d bytes", fileName, info.Size(), max(used, 4*pageSize))
	}
	return err
}

// openError says in words why the file could not be opened.
func openError(dir string, err error) error {
	switch {
	case errors.Is(err, berrors.ErrTimeout):
		return &InUseError{Dir: dir, Holders: holders(dir)}
	case errors.Is(err, fs.ErrNotExist):
		return noStore(dir)
	case errors.Is(err, ErrDamaged):
		return err
	case errors.Is(err, berrors.ErrInvalid), errors.Is(err, berrors.ErrChecksum),
		errors.Is(err, berrors.ErrVersionMismatch), errors.Is(err, berrors.ErrInvalidMapping):
		return damaged("the beginning of %s cannot be read: %v", fileName, err)
	}
	if info, statErr := os.Stat(filepath.Join(dir, fileName)); statErr == nil && info.Size() < 2*pageSize {
		return damaged("%s is cut short to %d bytes", fileName, info.Size())
	}
	return fmt.Errorf("the store in %s cannot be opened; see to it that this user may read and write it: %w", dir, err)
}

// guarded runs a function that reads the mapped file. A damaged file shows as a
// panic of bolt or as a fault of the memory; both become ErrDamaged.
func guarded(fn func() error) (err error) {
	before := debug.SetPanicOnFault(true)
	defer func() {
		debug.SetPanicOnFault(before)
		if r := recover(); r != nil {
			err = damaged("reading it failed: %v", r)
		}
	}()
	return fn()
}
