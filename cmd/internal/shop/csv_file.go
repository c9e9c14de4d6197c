package shop

import (
	"context"
	"errors"
	"fmt"
	"io"
)

// jobFile is a file of closed jobs being read, for an import or to try one out.
type jobFile struct {
	shop     *Shop
	name     string
	reader   *rowReader
	parser   rowParser
	guess    *guesser
	problem  func(*rawRow, RowProblem) // the row is nil where it is no CSV
	progress func(int64, int)

	rows, already, bad int
}

// openJobFile reads the header.
func (s *Shop) openJobFile(r io.Reader, o ImportOptions) (*jobFile, error) {
	reader, err := newRowReader(o.File, r, o.Map)
	if err != nil {
		return nil, err
	}
	return &jobFile{shop: s, name: o.File, reader: reader, parser: rowParser{base: s.base, now: s.Now()}, guess: newGuesser(s.base),
		problem: func(_ *rawRow, p RowProblem) {
			if o.Problem != nil {
				o.Problem(p)
			}
		}, progress: o.Progress}, nil
}

// each hands over the good rows in the order of the file, and reports the bad
// ones. Take may refuse a row.
func (f *jobFile) each(ctx context.Context, take func(*rawRow, *row) error) error {
	for {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("stopped after %d rows of %s; import it again to go on: %w", f.rows, f.name, err)
		}
		raw, err := f.reader.next()
		if err == io.EOF {
			return nil
		}
		var malformed RowProblem
		switch {
		case errors.As(err, &malformed):
			f.rows++
			f.report(nil, malformed)
		case err != nil:
			return err
		default:
			f.rows++
			if err := f.row(raw, take); err != nil {
				return err
			}
		}
		if f.progress != nil {
			f.progress(f.reader.csv.InputOffset(), f.rows)
		}
	}
}

// row reads one row. One that names what the base no longer has is no bad row if
// it was recorded before.
func (f *jobFile) row(raw *rawRow, take func(*rawRow, *row) error) error {
	r, problems := f.parser.parse(raw)
	if len(problems) == 0 {
		return take(raw, &r)
	}
	there, err := f.shop.recorded(raw)
	switch {
	case err != nil:
		return err
	case there:
		f.already++
	default:
		f.refuse(raw, problems...)
	}
	return nil
}

// refuse counts a row as bad and tells why.
func (f *jobFile) refuse(raw *rawRow, problems ...cellProblem) {
	list := make([]RowProblem, len(problems))
	for i, p := range problems {
		list[i] = RowProblem{File: f.name, Line: raw.lines[p.col], Column: columnNames[p.col], What: p.what}
		if p.unknown != nil {
			f.explain(&list[i], p.col, p.unknown)
		}
	}
	f.report(raw, list...)
}

// refuseJob refuses a row because of what is known of its job.
func (f *jobFile) refuseJob(raw *rawRow, why *cellProblem) {
	if m := f.reader.mapping; m != nil && m.derived && why.col == colJob {
		why.what += "; if it is another job, name one more heading for job in " + m.file
	}
	f.refuse(raw, *why)
}

func (f *jobFile) report(raw *rawRow, list ...RowProblem) {
	f.bad++
	for _, p := range list {
		f.problem(raw, p)
	}
}

// explain says what may be meant by a word that the base does not have, and how
// to map it.
func (f *jobFile) explain(p *RowProblem, col int, word *unknownWord) {
	p.Word, p.Nearest = word.text, f.guess.nearest(col, word)
	m := f.reader.mapping
	if m == nil || !canMap[col] {
		return
	}
	means := p.Nearest
	if means == "" {
		means = "ID"
	}
	name, text := word.named()
	p.What = fmt.Sprintf("no %s %q; to map it, add under values, %s in %s: %s: %s", name, text, columnNames[col], m.file, yamlText(word.text), yamlText(means))
	if p.Nearest == "" {
		p.What += "; what there is: sootsayer base list " + idList[col]
	}
}
