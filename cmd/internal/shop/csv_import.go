package shop

import (
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
	Problem  func(RowProblem)            // told of every problem of a row; nil: nobody
	Progress func(bytes int64, rows int) // told after each row how far it got; nil: nobody
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
	reader, err := newRowReader(o.File, r)
	if err != nil {
		return Imported{}, err
	}
	if len(reader.extra) > 0 {
		s.cfg.Notice(fmt.Sprintf("%s: nobody reads the columns %s", o.File, strings.Join(reader.extra, ", ")))
	}
	im := &importing{shop: s, file: o.File, problem: o.Problem, batch: make(map[string]bool),
		parser: rowParser{base: s.base, now: s.Now()}, did: Imported{Families: make(map[string]int)}}
	if err := im.all(ctx, reader, o.Progress); err != nil {
		return im.did, err
	}
	if err := im.flush(); err != nil {
		return im.did, err
	}
	return im.did, im.danglingCallbacks()
}

// importing is an import under way.
type importing struct {
	shop    *Shop
	file    string
	problem func(RowProblem)
	parser  rowParser
	did     Imported

	events  []journal.Event // of rows not written yet
	rows    []string        // their families
	batch   map[string]bool // their jobs
	earlier []callback      // earlier jobs named by callbacks and not there so far
}

// callback is a row that names an earlier job.
type callback struct {
	line int
	of   string
}

// maxCallbacks is how many names of jobs that are not there yet are kept.
const maxCallbacks = 10000

func (im *importing) all(ctx context.Context, reader *rowReader, progress func(int64, int)) error {
	for {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("stopped after %d rows of %s; import it again to go on: %w", im.did.Rows, im.file, err)
		}
		raw, err := reader.next()
		if err == io.EOF {
			return nil
		}
		var bad RowProblem
		switch {
		case errors.As(err, &bad):
			im.did.Rows++
			im.refuse(bad)
		case err != nil:
			return err
		default:
			im.did.Rows++
			if err := im.row(raw); err != nil {
				return err
			}
		}
		if progress != nil {
			progress(reader.csv.InputOffset(), im.did.Rows)
		}
	}
}

// refuse counts a bad row and tells why.
func (im *importing) refuse(list ...RowProblem) {
	im.did.Bad++
	if im.problem == nil {
		return
	}
	for _, p := range list {
		im.problem(p)
	}
}

// row takes in one row.
func (im *importing) row(raw *rawRow) error {
	r, problems := im.parser.parse(raw)
	if len(problems) > 0 {
		list := make([]RowProblem, len(problems))
		for i, p := range problems {
			list[i] = RowProblem{im.file, raw.lines[p.col], columnNames[p.col], p.what}
		}
		im.refuse(list...)
		return nil
	}
	if im.batch[r.job] {
		if err := im.flush(); err != nil {
			return err
		}
	}
	already, why, err := im.shop.standing(&r)
	if err != nil {
		return err
	}
	events := r.events()
	if why == nil && !already {
		if err := valid(events); err != nil {
			why = &cellProblem{colJob, err.Error()}
		}
	}
	switch {
	case why != nil:
		im.refuse(RowProblem{im.file, raw.lines[why.col], columnNames[why.col], why.what})
		return nil
	case already:
		im.did.Already++
		return nil
	}
	im.keepCallback(&r, raw)
	im.events, im.rows = append(im.events, events...), append(im.rows, r.family)
	im.batch[r.job] = true
	if len(im.events) < importBatch {
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
		return fmt.Errorf("%s: the rows before number %d could not be written: %w", im.file, im.did.Rows, err)
	}
	for _, family := range im.rows {
		im.did.Families[family]++
	}
	im.did.Imported += len(im.rows)
	im.events, im.rows = im.events[:0], im.rows[:0]
	clear(im.batch)
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
		im.shop.cfg.Notice(fmt.Sprintf("%s: callback_of names jobs that are not there: %s%s", im.file, strings.Join(lost, ", "), more))
	}
	return nil
}
