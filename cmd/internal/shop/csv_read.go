package shop

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"sootsayer/kb"
)

// RowProblem is why a row of a file was not taken in.
type RowProblem struct {
	File   string `json:"file"`
	Line   int    `json:"line"`   // where the cell begins
	Column string `json:"column"` // name of the column; "row" when it is the row as a whole
	What   string `json:"what"`   // why, and what to write
}

// Error writes FILE:LINE:COLUMN: why; what to write.
func (p RowProblem) Error() string {
	return fmt.Sprintf("%s:%d:%s: %s", p.File, p.Line, p.Column, p.What)
}

// wholeRow stands for the column where no single cell is wrong.
const wholeRow = "row"

// rowReader reads a file of closed jobs row by row.
type rowReader struct {
	name  string
	csv   *csv.Reader
	place [numColumns]int // where in the file's rows each column stands
	extra []string        // columns that nobody reads
	width int             // columns of the header
	buf   *bufio.Reader
}

// newRowReader reads the header. An error says what is wrong with the file as a
// whole.
func newRowReader(name string, r io.Reader) (*rowReader, error) {
	buf := bufio.NewReader(r)
	if err := skipMark(name, buf); err != nil {
		return nil, err
	}
	x := &rowReader{name: name, csv: csv.NewReader(buf), buf: buf}
	x.csv.FieldsPerRecord = -1
	header, err := x.csv.Read()
	switch {
	case err == io.EOF:
		return nil, fmt.Errorf("%s is empty; it needs a first line with the columns %s", name, strings.Join(columnNames[:], ","))
	case err != nil:
		return nil, fmt.Errorf("%s: the first line cannot be read; it needs the columns %s: %w", name, strings.Join(columnNames[:], ","), err)
	}
	return x, x.findColumns(header)
}

// skipMark passes over the byte order mark that some programs put at the start
// of a file.
func skipMark(name string, buf *bufio.Reader) error {
	start, err := buf.Peek(3)
	if err != nil && err != io.EOF {
		return fmt.Errorf("%s cannot be read: %w", name, err)
	}
	switch {
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		_, err := buf.Discard(3)
		return err
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		return fmt.Errorf("%s is UTF-16 text; save it as CSV in UTF-8", name)
	}
	return nil
}

// findColumns finds out where each column stands.
func (x *rowReader) findColumns(header []string) error {
	x.width = len(header)
	names := make([]string, len(header))
	for i, cell := range header {
		names[i] = strings.ToLower(strings.TrimSpace(cell))
		if names[i] != "" && slices.Contains(names[:i], names[i]) {
			return fmt.Errorf("%s: the column %s is there twice; keep one", x.name, names[i])
		}
	}
	var missing []string
	for i, want := range columnNames {
		if x.place[i] = slices.Index(names, want); x.place[i] < 0 {
			missing = append(missing, want)
		}
	}
	for _, name := range names {
		if name != "" && !slices.Contains(columnNames[:], name) {
			x.extra = append(x.extra, name)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	return x.missingColumns(header, missing)
}

func (x *rowReader) missingColumns(header, missing []string) error {
	if len(header) == 1 {
		for _, sep := range []string{";", "\t"} {
			if strings.Contains(header[0], sep) {
				return fmt.Errorf("%s: the columns are parted by %q; save it with commas between the columns", x.name, sep)
			}
		}
	}
	text := ""
	for _, name := range missing {
		if near, ok := kb.Nearest(name, x.extra); ok {
			text += fmt.Sprintf("; is %q meant to be %s?", near, name)
		}
	}
	return fmt.Errorf("%s: the first line lacks the columns %s%s; add them, their cells may stay empty where there is nothing to say",
		x.name, strings.Join(missing, ", "), text)
}

// rawRow is the text of a row and where its cells begin.
type rawRow struct {
	cells [numColumns]string
	lines [numColumns]int
	line  int
}

// next returns the next row that is well-formed CSV; a malformed one is a
// RowProblem, after which reading goes on. At the end it returns io.EOF.
func (x *rowReader) next() (*rawRow, error) {
	record, err := x.csv.Read()
	var syntax *csv.ParseError
	switch {
	case errors.As(err, &syntax):
		return nil, x.malformed(syntax)
	case err == io.EOF:
		return nil, err
	case err != nil:
		return nil, fmt.Errorf("%s cannot be read on: %w", x.name, err)
	}
	if strings.Join(record, "") == "" {
		return x.next() // a row of commas only, as some programs leave at the end
	}
	raw := new(rawRow)
	raw.line, _ = x.csv.FieldPos(0)
	if len(record) != x.width {
		return nil, RowProblem{x.name, raw.line, wholeRow, fmt.Sprintf("it has %d cells and the first line %d; put a cell that holds a comma in quotes", len(record), x.width)}
	}
	for i, at := range x.place {
		raw.cells[i] = strings.TrimSpace(record[at])
		raw.lines[i], _ = x.csv.FieldPos(at)
	}
	return raw, nil
}

// malformed says what is wrong with the quotes of a row. A quote that is never
// closed takes in all that follows, which then cannot be read.
func (x *rowReader) malformed(e *csv.ParseError) RowProblem {
	p := RowProblem{File: x.name, Line: e.StartLine, Column: wholeRow}
	if errors.Is(e.Err, csv.ErrBareQuote) {
		p.What = fmt.Sprintf("there is a quote at character %d inside a cell; put the whole cell in quotes and double the quote", e.Column)
		return p
	}
	p.What = fmt.Sprintf("the quotes do not match, seen at line %d, character %d; close the quoted cell, and double a quote that belongs to it", e.Line, e.Column)
	if _, err := x.buf.Peek(1); err != nil && e.Line > e.StartLine {
		p.What += fmt.Sprintf("; lines %d to %d were taken for one row", e.StartLine, e.Line)
	}
	return p
}
