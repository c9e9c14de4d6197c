package index

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
	"github.com/blevesearch/bleve/v2/index/scorch/mergeplan"
	"github.com/blevesearch/bleve/v2/mapping"
	index "github.com/blevesearch/bleve_index_api"
)

// jobFields are the fields of the index of past jobs.
func jobFields() []string {
	return append(slices.Clone(jobTextFields), fieldFamily, fieldClosed, fieldWords)
}

// buildAll builds the index of all past jobs into a new folder and returns how
// many there are. At any time it holds one batch of jobs in memory.
func (f *jobsFolder) buildAll(dir string) (n int, err error) {
	m, err := newMapping(jobFields(), fieldClosed)
	if err != nil {
		return 0, err
	}
	var b bleve.Builder
	for j, err := range f.source.All() {
		if err := f.ask(err); err != nil {
			return n, err // the builder has nothing open; its files are removed with the folder
		}
		if b == nil {
			if b, err = bleve.NewBuilder(dir, m, map[string]any{"buildPathPrefix": dir}); err != nil {
				return n, err
			}
		}
		if err := b.Index(j.ID, j.document(f.analyzer, f.causes)); err != nil {
			return n, err
		}
		if n++; n%progressJobs == 0 {
			f.progress(n)
		}
	}
	if b == nil { // bleve's builder fails without documents
		return 0, buildEmpty(dir, m)
	}
	return n, b.Close()
}

// buildEmpty makes an index without documents in a new folder.
func buildEmpty(dir string, m mapping.IndexMapping) error {
	if err := os.Remove(dir); err != nil { // bleve wants to make it
		return err
	}
	b, err := bleve.NewUsing(dir, m, scorch.Name, scorch.Name, nil)
	if err != nil {
		return err
	}
	return b.Close()
}

// update copies the index in place to a new folder, takes the changed jobs in
// there and returns how many jobs it holds. bleve never changes a segment that
// it has written, so these are linked, not copied.
func (f *jobsFolder) update(dir string) (n int, err error) {
	if err := linkTree(f.current(), dir); err != nil {
		return 0, err
	}
	b, err := bleve.OpenUsing(dir, map[string]any{"bolt_timeout": "500ms"})
	if err != nil { // with an error bleve returns an index that is nil but not equal to nil
		return 0, fmt.Errorf("%v: %w", err, errDamaged)
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	for i := 0; i < len(f.changed); i += batchEntries {
		if err := f.takeIn(b, f.changed[i:min(i+batchEntries, len(f.changed))]); err != nil {
			return 0, err
		}
		f.progress(min(i+batchEntries, len(f.changed)))
	}
	if err := settle(b); err != nil {
		return 0, err
	}
	count, err := b.DocCount()
	return int(count), err
}

// takeIn indexes one batch of changed jobs, and takes out those that are open
// again.
func (f *jobsFolder) takeIn(b bleve.Index, ids []string) error {
	batch := b.NewBatch()
	for _, id := range ids {
		j, closed, err := f.source.Closed(id)
		switch {
		case err != nil:
			return f.ask(err)
		case !closed:
			batch.Delete(id)
		default:
			if err := batch.Index(id, j.document(f.analyzer, f.causes)); err != nil {
				return err
			}
		}
	}
	return b.Batch(batch)
}

// settledKey is where an update leaves a mark in bleve's own store.
const settledKey = "sootsayer.settled"

// settle joins small segments, so that many small updates do not leave many
// files. What a merge did is on disk only with the next batch, hence the mark.
func settle(b bleve.Index) error {
	inner, err := b.Advanced()
	if err != nil {
		return err
	}
	if s, ok := inner.(*scorch.Scorch); ok {
		if err := s.ForceMerge(context.Background(), new(mergeplan.DefaultMergePlanOptions)); err != nil {
			return err
		}
	}
	mark := index.NewBatch()
	mark.SetInternal([]byte(settledKey), []byte{1})
	return inner.Batch(mark)
}

// linkTree copies a folder of an index, linking bleve's segments where the
// system can do that. The manifest is left out.
func linkTree(from, to string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(from, path)
		if err != nil || name == manifestName {
			return err
		}
		target := filepath.Join(to, name)
		if d.IsDir() {
			return os.MkdirAll(target, 0o700)
		}
		if filepath.Ext(name) == ".zap" && os.Link(path, target) == nil {
			return nil
		}
		return copyFile(path, target)
	})
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
