package shop

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// RowProblem is why a row of a file was not taken in.
type RowProblem struct {
	File    string `json:"file"`
	Line    int    `json:"line"`              // where the cell begins
	Column  string `json:"column"`            // name of the column; "row" when it is the row as a whole
	What    string `json:"what"`              // why, and what to write
	Word    string `json:"word,omitempty"`    // what names nothing of the base
	Nearest string `json:"nearest,omitempty"` // what may be meant by it
}

// Error writes FILE:LINE:COLUMN: why; what to write.
func (p RowProblem) Error() string {
	return fmt.Sprintf("%s:%d:%s: %s", p.File, p.Line, p.Column, p.What)
}

// wholeRow stands for the column where no single cell is wrong.
const wholeRow = "row"

// maxRow is how many bytes a row may take: one more than that is held in memory
// when a quote is never closed.
const maxRow = 4 << 20

// rowReader reads a file of closed jobs row by row.
type rowReader struct {
	name     string
	mapping  *Mapping // nil: a plain file
	csv      *csv.Reader
	place    [numColumns][]int // where in the file's rows each column stands
	headings []string          // of the file
	unread   []string          // those that nobody reads
	guard    *rowGuard
	line     int                                // where the last row began
	seen     func(raw *rawRow, record []string) // shown every row as it is read; nil: nobody
	buf      *bufio.Reader
}

// newRowReader reads the header. An error says what is wrong with the file as a
// whole.
func newRowReader(name string, r io.Reader, m *Mapping) (*rowReader, error) {
	x := &rowReader{name: name, mapping: m, guard: &rowGuard{r: r, left: maxRow}}
	x.buf = bufio.NewReader(x.guard)
	if err := skipMark(name, x.buf, m); err != nil {
		return nil, err
	}
	var text io.Reader = x.buf
	if m != nil && m.encoding == windows1252 {
		text = windowsText(text)
	}
	x.csv = csv.NewReader(text)
	x.csv.FieldsPerRecord, x.csv.ReuseRecord = -1, true
	if m != nil {
		x.csv.Comma = m.separator
	}
	header, err := x.csv.Read()
	switch {
	case err == io.EOF:
		return nil, fmt.Errorf("%s is empty; it needs a first line with %s", name, x.wanted())
	case err != nil:
		return nil, fmt.Errorf("%s: the first line cannot be read; it needs %s: %w", name, x.wanted(), err)
	}
	return x, x.findColumns(header)
}

func (x *rowReader) wanted() string {
	if x.mapping != nil && x.mapping.named {
		return "the headings that " + x.mapping.file + " names"
	}
	return "the columns " + strings.Join(columnNames[:numContract], ",")
}

// rawRow is the text of a row and where its cells begin. A mapping may have found
// problems in it already.
type rawRow struct {
	cells    [numColumns]string
	lines    [numColumns]int
	line     int
	unread   columnSet // columns that the file does not have
	problems []cellProblem
	refused  columnSet

	eitherWay, oneWay bool // it holds a date in which day and month may be mixed up; one in which they cannot
}

func (r *rawRow) refuse(p cellProblem) {
	if !r.refused.has(p.col) {
		r.refused.add(p.col)
		r.problems = append(r.problems, p)
	}
}

// next returns the next row that is well-formed CSV; a malformed one is a
// RowProblem, after which reading goes on. At the end it returns io.EOF.
func (x *rowReader) next() (*rawRow, error) {
	x.guard.left = maxRow
	record, err := x.csv.Read()
	var syntax *csv.ParseError
	switch {
	case errors.Is(err, errLongRow):
		return nil, fmt.Errorf("%s: a row after line %d is longer than %d MB; a quote in it may never be closed: close it and import the file again: %w", x.name, x.line, maxRow>>20, err)
	case errors.As(err, &syntax):
		return nil, x.malformed(syntax)
	case err == io.EOF:
		return nil, err
	case err != nil:
		return nil, fmt.Errorf("%s cannot be read on: %w", x.name, err)
	}
	if blank(record) {
		return x.next() // a row of commas only, as some programs leave at the end
	}
	raw := new(rawRow)
	raw.line, _ = x.csv.FieldPos(0)
	x.line = raw.line
	if len(record) != len(x.headings) {
		return nil, RowProblem{File: x.name, Line: raw.line, Column: wholeRow,
			What: fmt.Sprintf("it has %d cells and the first line %d; put a cell that holds %s in quotes", len(record), len(x.headings), markName(x.csv.Comma))}
	}
	for col, at := range x.place {
		raw.lines[col] = raw.line
		if len(at) > 0 {
			raw.lines[col], _ = x.csv.FieldPos(at[0])
		}
	}
	x.fill(raw, record)
	if x.seen != nil {
		x.seen(raw, record)
	}
	return raw, nil
}

// fill takes the cells of a row over.
func (x *rowReader) fill(raw *rawRow, record []string) {
	if x.mapping != nil {
		x.mapping.cells(raw, record, &x.place)
		return
	}
	for col, at := range x.place {
		if len(at) == 0 {
			raw.unread.add(col)
			continue
		}
		raw.cells[col] = strings.TrimSpace(record[at[0]])
	}
}

func blank(record []string) bool {
	for _, cell := range record {
		if cell != "" {
			return false
		}
	}
	return true
}

// markName is what parts the cells of a row, in words.
func markName(mark rune) string {
	for name, text := range marks {
		if text == string(mark) {
			return "a " + name
		}
	}
	return "a comma"
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
