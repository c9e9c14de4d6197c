package index

import (
	"errors"
	"fmt"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
)

// batchEntries is how many entries go into one batch in memory.
const batchEntries = 1000

// buildAt builds the index into a new folder.
func (x *Index) buildAt(dir string) error {
	m, err := newMapping(entryFields)
	if err != nil {
		return err
	}
	b, err := bleve.NewBuilder(dir, m, map[string]any{"buildPathPrefix": dir})
	if err != nil {
		return err
	}
	for i := range x.entries {
		e := &x.entries[i]
		if err := b.Index(e.docID(), x.analyzer.document(e)); err != nil {
			return errors.Join(fmt.Errorf("indexing %s: %w", e.docID(), err), b.Close())
		}
	}
	return b.Close()
}

// buildInMemory builds the index in memory. (bleve's NewMemOnly would build one
// of its old kind, ten times slower.)
func (x *Index) buildInMemory() (bleve.Index, error) {
	m, err := newMapping(entryFields)
	if err != nil {
		return nil, err
	}
	b, err := bleve.NewUsing("", m, scorch.Name, scorch.Name, nil)
	if err != nil {
		return nil, err
	}
	batch := b.NewBatch()
	for i := range x.entries {
		e := &x.entries[i]
		if err := batch.Index(e.docID(), x.analyzer.document(e)); err != nil {
			return nil, errors.Join(fmt.Errorf("indexing %s: %w", e.docID(), err), b.Close())
		}
		if batch.Size() == batchEntries || i == len(x.entries)-1 {
			if err := b.Batch(batch); err != nil {
				return nil, errors.Join(err, b.Close())
			}
			batch.Reset()
		}
	}
	return b, nil
}
