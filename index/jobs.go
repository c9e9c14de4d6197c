package index

import (
	"errors"
	"iter"
	"sync"
	"time"

	"github.com/blevesearch/bleve/v2"
	index "github.com/blevesearch/bleve_index_api"

	"sootsayer/kb"
)

// PastJob is a closed job as far as it can be found by words. In JSON it says
// what the job was; its texts stand in the fragments of the hit.
type PastJob struct {
	ID         string    `json:"job"`
	Family     string    `json:"family"`
	Model      string    `json:"model,omitempty"`
	Appliance  string    `json:"appliance,omitempty"`
	Closed     time.Time `json:"closed"`
	Causes     []string  `json:"causes"` // ids, as the job was closed in the end
	OneOf      bool      `json:"one_of,omitempty"`
	Confidence float64   `json:"confidence"`
	CameBackAs string    `json:"came_back_as,omitempty"` // a later job; told, not searched
	Complaint  string    `json:"-"`
	Reasons    []string  `json:"-"` // for which it was opened again
	Notes      []string  `json:"-"` // of its closings
}

// JobStamp says up to where a journal was read: its name, the arrival number of
// an event ("0" before the first) and that event's id.
type JobStamp struct {
	Journal string
	Seq     uint64
	Last    string
}

// JobSource is where past jobs come from: a journal. Its methods may be called
// while it grows; what a loop over all jobs misses is named by a later
// ChangedSince of a stamp taken before the loop.
type JobSource interface {
	// Stamp says what the newest event is.
	Stamp() (JobStamp, error)
	// EventAt returns the id of the event with an arrival number, "" for none.
	EventAt(seq uint64) (string, error)
	// All goes through the closed jobs.
	All() iter.Seq2[PastJob, error]
	// ChangedSince goes through the events after an arrival number, and names
	// the job of each ("" for none).
	ChangedSince(seq uint64) iter.Seq2[string, error]
	// Closed returns a job; ok is false when it is not closed.
	Closed(id string) (job PastJob, ok bool, err error)
}

// JobIndex finds past jobs by words. It is safe for concurrent use as far as
// its source is.
type JobIndex struct {
	base       *Index
	analyzer   *analyzer
	vocabulary *vocabulary // the base's; other words of the jobs count as known too
	causes     []kb.Cause
	source     JobSource
	dir        string // removed by Close; "" when the index lies in its folder

	mu      sync.RWMutex // held for reading while a search runs
	bleve   bleve.Index
	reader  index.IndexReader // nil when closed
	jobs    int
	scorers sync.Pool // of *scorer
}

// Close releases files and memory. Searches that are under way finish first;
// later ones return [ErrClosed]. Closing twice does nothing.
func (x *JobIndex) Close() error {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.reader == nil {
		return nil
	}
	err := errors.Join(x.reader.Close(), x.bleve.Close(), removeAll(x.dir))
	x.reader, x.bleve = nil, nil
	return err
}

// Len returns the number of jobs that can be found.
func (x *JobIndex) Len() int { return x.jobs }

// use takes over an opened bleve index.
func (x *JobIndex) use(b bleve.Index) error {
	inner, err := b.Advanced()
	if err == nil {
		x.reader, err = inner.Reader()
	}
	if err != nil {
		return errors.Join(err, b.Close())
	}
	n, err := x.reader.DocCount()
	if err != nil {
		return errors.Join(err, x.reader.Close(), b.Close())
	}
	x.bleve, x.jobs = b, int(n)
	base := x.vocabulary.indexed
	x.vocabulary.indexed = func(word string) bool {
		return base(word) || holdsTerm(x.reader, x.analyzer.stem(word), jobTextFields...)
	}
	return nil
}
