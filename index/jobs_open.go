package index

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/blevesearch/bleve/v2"

	"sootsayer/kb"
)

// JobOptions are the settings of [Index.OpenJobs].
type JobOptions struct {
	Log      func(string)     // told what was rebuilt and why; nil: nobody
	Now      func() time.Time // names a damaged index that is kept aside; nil: time.Now
	Progress func(jobs int)   // told now and then how many jobs were taken in; nil: nobody
}

// progressJobs is how many jobs are taken in from one report to the next.
const progressJobs = 500

// OpenJobs returns the index of the past jobs of a source, brought up to date.
// It lies in the folder dir. One that is missing, damaged, or of another journal
// or base is built anew, a damaged one being kept as in [Open]; otherwise the
// jobs that changed are taken in. Several processes may do so at once. When the
// folder cannot be used, or dir is "", the index is built in a folder of the
// system's for as long as it is open. x must stay open, and the base unchanged.
func (x *Index) OpenJobs(dir string, base *kb.Base, source JobSource, opts JobOptions) (*JobIndex, error) {
	if opts.Log == nil {
		opts.Log = func(string) {}
	}
	if opts.Now == nil {
		opts.Now = time.Now
	}
	if opts.Progress == nil {
		opts.Progress = func(int) {}
	}
	f, err := newJobsFolder(dir, base, source, opts)
	if err != nil {
		return nil, err
	}
	f.analyzer = x.analyzer
	jobs := x.jobIndex(base, source)
	opened, err := f.openOrBuild()
	if err == nil {
		if err = jobs.use(opened); err == nil {
			return jobs, nil
		}
	}
	if f.failed != nil {
		return nil, f.failed
	}
	if dir != "" {
		opts.Log(fmt.Sprintf("the index of past jobs in %s cannot be used (%v); it is built for this search alone", dir, err))
	}
	if jobs.dir, err = os.MkdirTemp("", "sootsayer-jobs-"); err != nil {
		return nil, fmt.Errorf("indexing the past jobs: %w", err)
	}
	f.dir = jobs.dir
	if opened, err = f.openOrBuild(); err == nil {
		err = jobs.use(opened)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("indexing the past jobs: %w", err), removeAll(jobs.dir))
	}
	return jobs, nil
}

// openOrBuild opens the folder, if there is one.
func (f *jobsFolder) openOrBuild() (bleve.Index, error) {
	if f.dir == "" {
		return nil, errors.New("no folder was given")
	}
	return f.open()
}

// jobIndex returns an index that is not open yet.
func (x *Index) jobIndex(base *kb.Base, source JobSource) *JobIndex {
	v := *x.content.vocabulary
	return &JobIndex{base: x, analyzer: x.analyzer, vocabulary: &v, causes: base.Causes, source: source}
}

// removeAll removes a folder, if one is named.
func removeAll(dir string) error {
	if dir == "" {
		return nil
	}
	return os.RemoveAll(dir)
}
