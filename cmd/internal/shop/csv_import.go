package shop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"sootsayer/kb/journal"
)

// importBatch is after how many events the rows read so far are written. A row
// is never split: it is there whole or not at all.
const importBatch = 4000

// ImportOptions say how a file of closed jobs is read.
type ImportOptions struct {
	File     string                      // its name, for messages
	Map      *Mapping                    // how a shop's own table is read; nil: a plain file
	Problem  func(RowProblem)            // told of every problem of a row; nil: nobody
	Progress func(bytes int64, rows int) // told after each row how far it got; nil: nobody

	batch int // importBatch, but for benchmarks
}

// Imported is what became of a file of closed jobs.
type Imported struct {
	Rows     int            `json:"rows"`
	Imported int            `json:"imported"`
	Already  int            `json:"already"` // were there before, and say the same
	Bad      int            `json:"bad"`
	Families map[string]int `json:"families"` // imported rows by family
}

// ImportJobs imports closed jobs from a file in CSV, row by row. Bad rows are
// told to o.Problem and counted, the good ones are imported. A row that is there
// already changes nothing, and one that says something else of a job that is
// there is a bad row. An error means that the rest could not be read or written;
// what came before it is imported, and importing the file again goes on.
func (s *Shop) ImportJobs(ctx context.Context, r io.Reader, o ImportOptions) (Imported, error) {
	im := &importing{batch: cmp.Or(o.batch, importBatch), did: Imported{Families: make(map[string]int)}, pending: make(map[string][]journal.Event)}
	f, err := s.openJobFile(r, o)
	if err != nil {
		return im.did, err
	}
	im.jobFile = f
	if len(f.reader.unread) > 0 {
		s.cfg.Notice(fmt.Sprintf("%s: nobody reads the columns %s", o.File, strings.Join(f.reader.unread, ", ")))
	}
	err = f.each(ctx, im.take)
	if last := im.flush(); err == nil {
		err = last
	}
	if err == nil {
		err = errors.Join(im.danglingCallbacks(), im.strangePlaces())
	}
	im.did.Rows, im.did.Already, im.did.Bad = f.rows, f.already, f.bad
	return im.did, err
}

// importing is an import under way.
type importing struct {
	*jobFile
	did   Imported
	batch int

	events   []journal.Event            // of rows not written yet
	families []string                   // of these rows
	pending  map[string][]journal.Event // their events by job
	earlier  []callback                 // earlier jobs named by callbacks and not there so far
	places   map[string]bool            // places that parts came from
}

// callback is a row that names an earlier job.
type callback struct {
	line int
	of   string
}

// maxCallbacks is how many names of jobs that are not there yet are kept.
const maxCallbacks = 10000

// take takes in one row.
func (im *importing) take(raw *rawRow, r *row) error {
	already, why, err := im.shop.standing(r, im.pending[r.job])
	if err != nil {
		return err
	}
	if already {
		im.already++
		return nil
	}
	events := r.events()
	if why == nil {
		why = valid(events)
	}
	if why != nil {
		im.refuseJob(raw, why)
		return nil
	}
	im.keepCallback(r, raw)
	im.keepPlace(r)
	im.events, im.families = append(im.events, events...), append(im.families, r.family)
	im.pending[r.job] = append(im.pending[r.job], events...)
	if len(im.events) < im.batch {
		return nil
	}
	return im.flush()
}

// flush writes the rows read so far in one transaction.
func (im *importing) flush() error {
	if len(im.events) == 0 {
		return nil
	}
	if _, err := im.shop.journal.Append(im.events...); err != nil {
		return fmt.Errorf("%s: the rows before number %d could not be written: %w", im.name, im.rows, err)
	}
	for _, family := range im.families {
		im.did.Families[family]++
	}
	im.did.Imported += len(im.families)
	im.events, im.families = im.events[:0], im.families[:0]
	clear(im.pending)
	return nil
}

// keepCallback remembers which earlier job a row names, to look for it when all
// rows are in: it may come later in the file.
func (im *importing) keepCallback(r *row, raw *rawRow) {
	switch {
	case r.callbackOf == "" || r.reopens():
	case len(im.earlier) < maxCallbacks:
		im.earlier = append(im.earlier, callback{raw.lines[colCallbackOf], r.callbackOf})
	}
}

// danglingCallbacks gives notice of earlier jobs that are nowhere. That does no
// harm, but may be a slip.
func (im *importing) danglingCallbacks() error {
	var lost []string
	for _, c := range im.earlier {
		_, err := im.shop.journal.Job(c.of)
		switch {
		case errors.Is(err, journal.ErrNoJob):
			if text := fmt.Sprintf("%s (line %d)", c.of, c.line); !slices.Contains(lost, text) {
				lost = append(lost, text)
			}
		case err != nil:
			return err
		}
	}
	if len(lost) > 0 {
		const most = 10
		more := ""
		if n := len(lost) - most; n > 0 {
			lost, more = lost[:most], fmt.Sprintf(" and %d more", n)
		}
		im.shop.cfg.Notice(fmt.Sprintf("%s: callback_of names jobs that are not there: %s%s", im.name, strings.Join(lost, ", "), more))
	}
	return nil
}
