package shop

import (
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"sootsayer/kb/stock"
)

// CountsRead is what became of a file of counts.
type CountsRead struct {
	Rows    int         `json:"rows"`
	Counted int         `json:"counted"`
	Already int         `json:"already"` // were there before, and say the same
	Left    int         `json:"left"`    // have no number: nobody counted them
	Bad     int         `json:"bad"`
	Lines   []StockLine `json:"lines"`
}

// countRow is one row of a file of counts.
type countRow struct {
	line  int
	place string
	part  string // today's id
	at    time.Time
	qty   float64
}

// CountFile records the counts of a file in CSV with the columns place, part and
// qty, and a date where there is one; without a date they are of now. A row
// without a number is passed over, so that a list of all parts can be filled in
// by hand. Bad rows are told to problem, the good ones are recorded. A row with
// a date is recorded once, however often the file is read.
func (s *Shop) CountFile(ctx context.Context, name string, r io.Reader, fresh bool, problem func(RowProblem)) (CountsRead, error) {
	t := &table{name: name, need: []string{"place", "part", "qty"}, may: []string{"date"}, passed: exportColumns, problem: problem}
	c := &countReading{shop: s, table: t, fresh: fresh, told: make(map[string]bool), now: s.Now().UTC().Truncate(time.Millisecond)}
	var err error
	if c.books, err = s.Books(); err != nil {
		return CountsRead{}, err
	}
	if err := t.read(ctx, r, c.take); err != nil {
		return CountsRead{}, err
	}
	s.tellUnread(t)
	c.did.Rows, c.did.Bad = t.rows, t.bad
	for place, pieces := range c.byPlaceAndTime() {
		lines, err := s.Count(place.place, place.at, pieces)
		if err != nil {
			return c.did, err
		}
		c.did.Counted += len(lines)
		c.did.Lines = append(c.did.Lines, lines...)
	}
	return c.did, nil
}

// countReading is a file of counts being read.
type countReading struct {
	shop  *Shop
	table *table
	books *stock.Books
	fresh bool
	now   time.Time
	told  map[string]bool
	rows  []countRow
	first map[countKey]int // the line that counted something first
	did   CountsRead
}

type countKey struct {
	place, part string
	at          time.Time
}

// take reads one row.
func (c *countReading) take(row tableRow) {
	place, part, qty, date := row.cells[0], row.cells[1], row.cells[2], row.cells[3]
	if qty == "" {
		c.did.Left++
		return
	}
	r := countRow{line: row.line, at: c.now}
	var err error
	if r.place, err = placeIn(c.books, place, c.fresh); err != nil {
		c.table.refuse(row.line, "place", err.Error())
		return
	}
	if _, r.part, err = c.shop.tablePart(part, c.told); err != nil {
		c.table.refuse(row.line, "part", err.Error())
		return
	}
	if r.qty, err = parseQty(r.part, qty, FoundPieces); err != nil {
		c.table.refuse(row.line, "qty", err.Error())
		return
	}
	if date != "" {
		if r.at, err = When(c.now, date); err != nil {
			c.table.refuse(row.line, "date", err.Error())
			return
		}
	}
	c.add(r)
}

// add keeps a row, unless it was recorded before or another row of the file
// counts the same.
func (c *countReading) add(r countRow) {
	key := countKey{r.place, r.part, r.at}
	if before, again := c.first[key]; again {
		c.table.refuse(r.line, wholeRow, fmt.Sprintf("%s at %s is counted in line %d already; write all pieces that are there in one row", r.part, r.place, before))
		return
	}
	if c.first == nil {
		c.first = make(map[countKey]int)
	}
	c.first[key] = r.line
	if !r.at.Equal(c.now) && c.known(r) {
		c.did.Already++
		return
	}
	c.rows = append(c.rows, r)
}

// known tells whether a count is in the books already.
func (c *countReading) known(r countRow) bool {
	p := c.books.Part(r.part)
	at := p.At(r.place)
	return at != nil && slices.ContainsFunc(at.Counts, func(x stock.Count) bool { return x.At.Equal(r.at) && x.Qty == r.qty })
}

// placeAndTime is where and when something was counted.
type placeAndTime struct {
	place string
	at    time.Time
}

// byPlaceAndTime puts the rows together that were counted at one place and time,
// in the order of the file.
func (c *countReading) byPlaceAndTime() func(yield func(placeAndTime, []Pieces) bool) {
	var order []placeAndTime
	pieces := make(map[placeAndTime][]Pieces)
	for _, r := range c.rows {
		key := placeAndTime{r.place, r.at}
		if pieces[key] == nil {
			order = append(order, key)
		}
		pieces[key] = append(pieces[key], Pieces{r.part, r.qty})
	}
	return func(yield func(placeAndTime, []Pieces) bool) {
		for _, key := range order {
			if !yield(key, pieces[key]) {
				return
			}
		}
	}
}
