package index

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/blevesearch/bleve/v2"
	index "github.com/blevesearch/bleve_index_api"

	"sootsayer/kb"
)

// ErrClosed is returned by a search on an index that was closed.
var ErrClosed = errors.New("the search index is closed")

// Options are the settings of [Open]; the zero value is right for a shop that
// has learned nothing yet.
type Options struct {
	Phrases []ChosenPhrase   // what was said for which symptom on past jobs; the 1000 chosen most often count
	Log     func(string)     // told what was rebuilt and why; nil: nobody
	Now     func() time.Time // names a damaged index that is kept aside; nil: time.Now
}

// ChosenPhrase is a phrase that was said Count times for a symptom, folded from
// the journal's phrase.chosen events. Phrases of unknown symptoms are ignored.
type ChosenPhrase struct {
	Text    string
	Symptom string
	Count   int
}

// Index answers searches over one base. It is safe for concurrent use.
type Index struct {
	analyzer *analyzer
	entries  []entry
	symptoms []kb.Symptom
	phrases  []ChosenPhrase
	dir      string // "" when in memory

	mu     sync.RWMutex // held for reading while a search runs
	bleve  bleve.Index
	reader index.IndexReader // nil when closed

	content  *content
	scorers  sync.Pool // of *scorer
	matching sync.Once
	matcher  *matcher
}

// Open returns the index of a base that was loaded or reindexed, and that must
// not change while the index is in use. It uses what
// lies in the folder dir when that fits the base and is undamaged, and builds it
// anew otherwise; a damaged one is moved to dir.damaged-<time>, at most one of
// which is kept. When the folder cannot be used, or dir is "", the index is
// built in memory. An error means that even that failed.
func Open(dir string, base *kb.Base, opts Options) (*Index, error) {
	if base == nil {
		return nil, errors.New("no base to index; load one first")
	}
	if opts.Log == nil {
		opts.Log = func(string) {}
	}
	if opts.Now == nil {
		opts.Now = time.Now
	}
	x := &Index{analyzer: newAnalyzer(base.Synonyms), entries: entriesOf(base), symptoms: base.Symptoms, phrases: mostChosen(opts.Phrases)}
	if dir != "" && len(x.entries) > 0 { // bleve's builder fails without documents
		f := x.folder(dir, base.Synonyms, opts)
		opened, err := f.open()
		if err == nil {
			err = x.use(opened)
		}
		if err == nil {
			x.dir = dir
			return x, nil
		}
		opts.Log(fmt.Sprintf("the search index in %s cannot be used (%v); searching in memory", dir, err))
	}
	built, err := x.buildInMemory()
	if err == nil {
		err = x.use(built)
	}
	if err != nil {
		return nil, fmt.Errorf("building the search index in memory: %w", err)
	}
	return x, nil
}

// folder is where the index lies.
func (x *Index) folder(dir string, synonyms [][]string, opts Options) folder {
	key := keyOf(x.entries, synonyms)
	return folder{dir: dir, what: "the search index", log: opts.Log, now: opts.Now,
		fits: func(m *manifest) error {
			if m.Key != key {
				return errOutdated
			}
			return nil
		},
		build: func(dir string, _ error) (manifest, error) {
			return manifest{Key: key, Entries: len(x.entries)}, x.buildAt(dir)
		}}
}

// use takes over an opened bleve index.
func (x *Index) use(b bleve.Index) error {
	inner, err := b.Advanced()
	if err == nil {
		x.reader, err = inner.Reader()
	}
	if err != nil {
		return errors.Join(err, b.Close())
	}
	if x.content, err = x.readContent(); err != nil {
		return errors.Join(err, x.reader.Close(), b.Close())
	}
	x.content.learned = x.learnedPostings()
	x.bleve = b
	return nil
}

// InMemory tells whether the index lives in memory because its folder was not
// given or could not be used.
func (x *Index) InMemory() bool { return x.dir == "" }

// Len returns the number of entries that can be found.
func (x *Index) Len() int { return len(x.entries) }

// Close releases files and memory. Searches that are under way finish first;
// later ones return [ErrClosed]. Closing twice does nothing.
func (x *Index) Close() error {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.reader == nil {
		return nil
	}
	err := errors.Join(x.reader.Close(), x.bleve.Close())
	x.reader, x.bleve = nil, nil
	return err
}
