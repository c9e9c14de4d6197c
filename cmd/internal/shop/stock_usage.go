package shop

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"sootsayer/kb/journal"
	"sootsayer/kb/stock"
)

// UsageRead is what became of a file of parts used outside of jobs.
type UsageRead struct {
	Rows     int      `json:"rows"`
	Recorded int      `json:"recorded"`
	Already  int      `json:"already"` // were there before
	Bad      int      `json:"bad"`
	Parts    int      `json:"parts"`           // different parts in the good rows
	First    string   `json:"first,omitempty"` // month of the first good row, as 2024-01
	Last     string   `json:"last,omitempty"`
	Missing  []string `json:"missing,omitempty"` // months between those of usage files that have no row
	Past     int      `json:"past"`              // recorded rows older than the books of their part: they draw nothing
	Added    int      `json:"added"`             // recorded rows of a part and day of which uses were there before
}

// usageRow is one good row.
type usageRow struct {
	line  int
	at    time.Time
	part  string // as written
	today string
	qty   float64
	place string
	id    string // of its event
}

// eventID is the same whenever and wherever the row is read; n is how many equal
// rows stand before it.
func (r *usageRow) eventID(n uint16) string {
	return journal.EventIDFor(r.at, strings.Join([]string{"stock usage", r.part, numberText(r.qty), r.place}, "\x00"), n)
}

// UsageFile records the parts used outside of jobs that a file in CSV lists: date,
// part and qty, and the place where there is one. A row with 0 pieces says that
// nothing was used. Bad rows are told to problem, the good ones are recorded,
// each once however often the file is read. Equal rows of one file are taken for
// a slip unless repeats says that they are uses of their own.
func (s *Shop) UsageFile(ctx context.Context, name string, r io.Reader, repeats bool, problem func(RowProblem)) (UsageRead, error) {
	t := &table{name: name, need: []string{"date", "part", "qty"}, may: []string{"place"}, problem: problem}
	u := &usageReading{shop: s, table: t, repeats: repeats, told: make(map[string]bool), seen: make(map[string]*seenRow), today: s.Now().Format(time.DateOnly)}
	if err := t.read(ctx, r, u.take); err != nil {
		return UsageRead{}, err
	}
	s.tellUnread(t)
	if err := u.compare(); err != nil {
		return UsageRead{}, err
	}
	err := u.record()
	u.did.Rows, u.did.Bad = t.rows, t.bad
	return u.did, err
}

// usageReading is a file of uses being read.
type usageReading struct {
	shop    *Shop
	table   *table
	repeats bool
	today   string // a day, as dates in the file are written
	told    map[string]bool
	seen    map[string]*seenRow // by the id of the first of equal rows
	rows    []usageRow
	did     UsageRead
}

// seenRow is where the first of equal rows stands, and how many there are.
type seenRow struct {
	line int
	n    int
}

// take reads one row.
func (u *usageReading) take(row tableRow) {
	r := usageRow{line: row.line}
	var err error
	if r.at, err = u.date(row.cells[0]); err != nil {
		u.table.refuse(row.line, "date", err.Error())
		return
	}
	if r.part, r.today, err = u.shop.tablePart(row.cells[1], u.told); err != nil {
		u.table.refuse(row.line, "part", err.Error())
		return
	}
	if r.qty, err = usedQty(r.today, row.cells[2]); err != nil {
		u.table.refuse(row.line, "qty", err.Error())
		return
	}
	if r.place = row.cells[3]; r.place != "" && !stock.ValidPlace(r.place) {
		u.table.refuse(row.line, "place", badPlace(r.place).Error())
		return
	}
	r.id = r.eventID(0)
	first := u.seen[r.id]
	switch {
	case first == nil:
		u.seen[r.id] = &seenRow{line: r.line, n: 1}
	case !u.repeats:
		u.table.refuse(r.line, wholeRow, fmt.Sprintf("it is the same as line %d; take it out, or when both were used read the file with --repeats", first.line))
		return
	case first.n > math.MaxUint16:
		u.table.refuse(r.line, wholeRow, fmt.Sprintf("it stands there %d times; add the pieces up in one row", first.n))
		return
	default:
		r.id = r.eventID(uint16(first.n))
		first.n++
	}
	u.rows = append(u.rows, r)
}

// date reads a day, which stands for its noon, or a time. Today is the last day
// on which something can have been used.
func (u *usageReading) date(text string) (time.Time, error) {
	at, err := time.Parse(time.DateOnly, text)
	day := text
	if err == nil {
		at = at.Add(noon)
	} else if at, err = time.Parse(time.RFC3339, text); err == nil {
		day = at.In(u.shop.Now().Location()).Format(time.DateOnly)
	}
	switch {
	case text == "":
		return at, fmt.Errorf("there is no date; write the day it was used, such as 2024-11-03")
	case err != nil:
		return at, fmt.Errorf("%q is not a date; write the day as 2024-11-03", text)
	case at.Year() < 1970:
		return at, fmt.Errorf("the year of %s cannot be; write a date from 1970 on", text)
	case day > u.today:
		return at, fmt.Errorf("%s is still to come, and nothing can have been used; today is %s", text, u.today)
	}
	return at.UTC(), nil
}

// usedQty reads how many pieces were used; 0 says that none were.
func usedQty(part, text string) (float64, error) {
	if text == "" {
		return 0, fmt.Errorf("there is no number of pieces of %s; write how many were used", part)
	}
	return parseQty(part, text, UsedPieces)
}
