package index

import (
	"cmp"
	"errors"
	"fmt"

	"sootsayer/kb"
)

// errForeign says that an index was built from another journal.
var errForeign = errors.New("built from another journal")

// jobsFolder is where the index of past jobs lies.
type jobsFolder struct {
	folder
	key      string
	causes   []kb.Cause
	analyzer *analyzer // nil where nothing is built
	source   JobSource
	progress func(jobs int)
	stamp    JobStamp // up to where the journal is taken in
	changed  []string // jobs to take in again
	anew     bool     // too many changed: take in all
	failed   error    // what the source failed with
}

// ask notes an error of the source: another folder would not help against it.
func (f *jobsFolder) ask(err error) error {
	if err != nil {
		f.failed = err
	}
	return err
}

func newJobsFolder(dir string, base *kb.Base, source JobSource, opts JobOptions) (*jobsFolder, error) {
	stamp, err := source.Stamp()
	if err != nil {
		return nil, err
	}
	f := &jobsFolder{key: jobsKey(base), causes: base.Causes, source: source, stamp: stamp, progress: opts.Progress}
	f.folder = folder{dir: dir, what: "the index of past jobs", log: opts.Log, now: opts.Now, fits: f.matches, lacks: f.behind, build: f.fill}
	return f, nil
}

// matches tells whether an index is of this journal.
func (f *jobsFolder) matches(m *manifest) error {
	switch {
	case m.Key != f.key:
		return errOutdated
	case m.Journal != f.stamp.Journal:
		return errForeign
	case m.Seq > f.stamp.Seq: // another process may have taken in what came since
		if now, err := f.source.Stamp(); err != nil || m.Seq > now.Seq {
			return cmp.Or(f.ask(err), errForeign)
		}
	}
	last, err := f.source.EventAt(m.Seq)
	if err == nil && last != m.Last {
		return errForeign // the journal went another way since
	}
	return f.ask(err)
}

// idleEvents is how many events without a job to take in may be read over by
// every search before the index notes that it has seen them.
const idleEvents = 500

// mostChanged bounds the memory that ids of changed jobs take; when more jobs
// changed, or more than a third of all there is was recorded since, all jobs are
// taken in anew.
const mostChanged = 50_000

// behind tells whether jobs changed since the index was built, and keeps which.
func (f *jobsFolder) behind(m *manifest) error {
	f.changed, f.anew = nil, false
	if m.Seq >= f.stamp.Seq {
		return nil
	}
	news := f.stamp.Seq - m.Seq
	if f.anew = news > f.stamp.Seq/3+idleEvents; f.anew {
		return errBehind
	}
	seen := map[string]bool{}
	for id, err := range f.source.ChangedSince(m.Seq) {
		if err != nil {
			return f.ask(err)
		}
		if id == "" || seen[id] {
			continue
		}
		if f.anew = len(seen) == mostChanged; f.anew {
			return errBehind
		}
		seen[id] = true
		f.changed = append(f.changed, id)
	}
	due, err := f.due()
	if err == nil && (due || news > idleEvents) {
		err = errBehind
	}
	return err
}

// due tells whether one of the changed jobs is closed, or was when it was
// indexed.
func (f *jobsFolder) due() (bool, error) {
	for _, id := range f.changed {
		if _, closed, err := f.source.Closed(id); err != nil || closed {
			return closed, f.ask(err)
		}
	}
	opened, err := openReadOnly(f.current())
	if err != nil {
		return false, fmt.Errorf("%v: %w", err, errDamaged)
	}
	held := false
	for _, id := range f.changed {
		d, err := opened.Document(id)
		if err != nil {
			return false, errors.Join(err, opened.Close())
		}
		if held = d != nil; held {
			break
		}
	}
	return held, opened.Close()
}

// fill fills a new folder: with the index in place and the jobs that changed,
// or with all jobs.
func (f *jobsFolder) fill(dir string, why error) (manifest, error) {
	take := f.buildAll
	if errors.Is(why, errBehind) && !f.anew {
		take = f.update
	}
	n, err := take(dir)
	return manifest{Key: f.key, Entries: n, Journal: f.stamp.Journal, Seq: f.stamp.Seq, Last: f.stamp.Last}, err
}
