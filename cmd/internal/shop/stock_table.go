package shop

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sootsayer/kb"
)

// table is a small table in CSV being read: a first line that names the columns,
// in any order, then rows.
type table struct {
	name    string
	need    []string // columns that have to be there
	may     []string // columns that are read where they are
	passed  []string // columns of ours that nobody need read
	problem func(RowProblem)

	rows, bad int
	at        []int    // where each of need and may stands, -1 where it does not
	unread    []string // headings that nobody reads
}

// tableRow is one row: its cells in the order of need and may, trimmed, and
// empty where a column is not there.
type tableRow struct {
	line  int
	cells []string
}

// refuse reports what is wrong with a row.
func (t *table) refuse(line int, column, what string) {
	t.bad++
	t.problem(RowProblem{File: t.name, Line: line, Column: column, What: what})
}

// read hands over the rows that are well-formed.
func (t *table) read(ctx context.Context, r io.Reader, row func(tableRow)) error {
	guard := &rowGuard{r: r, left: maxRow}
	buf := bufio.NewReader(guard)
	if err := skipMark(t.name, buf, nil); err != nil {
		return err
	}
	c := csv.NewReader(buf)
	c.FieldsPerRecord, c.ReuseRecord = -1, true
	header, err := c.Read()
	if err == io.EOF {
		return fmt.Errorf("%s is empty; its first line is %s", t.name, strings.Join(t.need, ","))
	}
	if err != nil {
		return fmt.Errorf("%s: the first line cannot be read; write %s: %w", t.name, strings.Join(t.need, ","), err)
	}
	width := len(header)
	if err := t.findColumns(header); err != nil {
		return err
	}
	for {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("stopped after %d rows of %s; nothing was recorded: %w", t.rows, t.name, err)
		}
		guard.left = maxRow
		record, err := c.Read()
		var syntax *csv.ParseError
		switch {
		case err == io.EOF:
			return nil
		case errors.Is(err, errLongRow):
			return fmt.Errorf("%s: a row is longer than %d MB; a quote in it may never be closed: close it and read the file again: %w", t.name, maxRow>>20, err)
		case errors.As(err, &syntax):
			t.rows++
			t.bad++
			t.problem((&rowReader{name: t.name, buf: buf}).malformed(syntax))
		case err != nil:
			return fmt.Errorf("%s cannot be read on: %w", t.name, err)
		case !blank(record):
			t.rows++
			line, _ := c.FieldPos(0)
			if len(record) != width {
				t.refuse(line, wholeRow, fmt.Sprintf("it has %d cells and the first line %d; put a cell that holds a comma in quotes", len(record), width))
			} else if cells, ok := t.cells(line, record); ok {
				row(tableRow{line, cells})
			}
		}
	}
}

// cells takes the cells of a row over; what is no text of a person is refused.
func (t *table) cells(line int, record []string) ([]string, bool) {
	cells := make([]string, len(t.at))
	for col, i := range t.at {
		if i < 0 {
			continue
		}
		cells[col] = strings.TrimSpace(record[i])
		if !utf8.ValidString(cells[col]) || strings.ContainsFunc(cells[col], unicode.IsControl) {
			t.refuse(line, t.column(col), "it holds something that is no plain text; save the file as CSV in UTF-8")
			return nil, false
		}
	}
	return cells, true
}

func (t *table) column(i int) string { return slices.Concat(t.need, t.may)[i] }

// findColumns finds out where each column stands.
func (t *table) findColumns(header []string) error {
	names := make([]string, len(header))
	for i, h := range header {
		names[i] = strings.ToLower(strings.TrimSpace(h))
		if names[i] != "" && slices.Contains(names[:i], names[i]) {
			return fmt.Errorf("%s: the column %s is there twice; keep one", t.name, names[i])
		}
	}
	var missing []string
	for _, want := range slices.Concat(t.need, t.may) {
		i := slices.Index(names, want)
		if i < 0 && slices.Contains(t.need, want) {
			missing = append(missing, want)
		}
		t.at = append(t.at, i)
	}
	for _, name := range names {
		if name != "" && !slices.Contains(slices.Concat(t.need, t.may, t.passed), name) {
			t.unread = append(t.unread, name)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	if len(names) == 1 && strings.ContainsAny(names[0], ";\t|") {
		return fmt.Errorf("%s: its columns are not parted by commas; save it as CSV with commas", t.name)
	}
	text := ""
	for _, want := range missing {
		if near, ok := kb.Nearest(want, t.unread); ok {
			text += fmt.Sprintf("; is %q meant to be %s?", near, want)
		}
	}
	return fmt.Errorf("%s: the first line lacks %s; it has to name the columns %s%s", t.name, strings.Join(missing, ", "), strings.Join(t.need, ","), text)
}

// tellUnread gives notice of columns that nobody reads.
func (s *Shop) tellUnread(t *table) {
	if len(t.unread) > 0 {
		s.cfg.Notice(fmt.Sprintf("%s: nobody reads the columns %s", t.name, strings.Join(t.unread, ", ")))
	}
}

// tablePart reads the part of a row: as it is written, so that the row means the
// same when the base has changed, and as it is called today. Of each other id
// notice is given once.
func (s *Shop) tablePart(text string, told map[string]bool) (written, today string, err error) {
	today = s.partToday(text)
	if _, ok := s.base.Part(today); !ok {
		return "", "", kb.UnknownID("part", text, s.base.IDs("parts"))
	}
	if today != text && !told[text] {
		told[text] = true
		s.cfg.Notice(partTodaySays(s.base, text, today))
	}
	return text, today, nil
}
