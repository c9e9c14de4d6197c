package index

import (
	"errors"
	"fmt"
	"io/fs"

	"sootsayer/kb"
)

// VerifyJobs says what is wrong with the index of past jobs in the folder dir;
// nothing is changed. Current tells whether it can be used as it is: not when
// there is none yet, when it is of another base, program or journal, lacks what
// was recorded since, or when something is wrong. The next search among past
// jobs makes good what it lacks, or builds it anew. The error is the source's.
func VerifyJobs(dir string, base *kb.Base, source JobSource) (current bool, wrong []string, err error) {
	f, err := newJobsFolder(dir, base, source, JobOptions{})
	if err != nil {
		return false, nil, err
	}
	examined, why := f.examine()
	switch {
	case f.failed != nil:
		return false, nil, f.failed
	case why == nil:
		why = f.compare(examined)
	}
	switch {
	case f.failed != nil:
		return false, nil, f.failed
	case why == nil:
		return true, nil, nil
	case errors.Is(why, errDamaged):
		return false, []string{fmt.Sprintf("index of past jobs %s: %v; it is built anew by the next search among past jobs", f.current(), why)}, nil
	case errors.Is(why, fs.ErrNotExist), errors.Is(why, errReplaced), errors.Is(why, errOutdated), errors.Is(why, errForeign), errors.Is(why, errBehind):
		return false, nil, nil
	}
	return false, []string{fmt.Sprintf("index of past jobs %s: %v; delete the folder, it is built anew by the next search among past jobs", f.current(), why)}, nil
}

// compare looks for every closed job in the index that was examined, and for
// nothing else there.
func (f *jobsFolder) compare(examined fs.FileInfo) (err error) {
	x := &JobIndex{base: &Index{}, vocabulary: &vocabulary{}}
	opened, err := f.openCurrent(examined)
	if err == nil {
		err = x.use(opened)
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, x.Close()) }()
	missing, closed := "", 0
	for j, err := range f.source.All() {
		if f.ask(err) != nil {
			return err
		}
		if closed++; missing == "" && !holdsTerm(x.reader, j.ID, "_id") {
			missing = j.ID
		}
	}
	now, err := f.source.Stamp()
	switch {
	case err != nil:
		return f.ask(err)
	case now != f.stamp: // jobs were closed meanwhile; the next look will tell
		return nil
	case missing != "":
		return fmt.Errorf("closed job %s is not in it: %w", missing, errDamaged)
	case closed != x.Len():
		return fmt.Errorf("it holds %d jobs where %d are closed: %w", x.Len(), closed, errDamaged)
	}
	return nil
}
