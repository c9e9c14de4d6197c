package shop

import (
	"encoding/csv"
	"io"
	"strconv"

	"sootsayer/kb/stock"
)

// exportColumns are the columns of exported stock. CountFile reads the first
// three of them, so that an exported list can be counted on.
var exportColumns = []string{"place", "part", "qty", "counted", "on_order", "name"}

// ExportStock writes what is on hand and on order as CSV, a row for each part and
// place, in the order of the base; "" for all places. It returns the number of
// rows.
func (s *Shop) ExportStock(w io.Writer, place string) (int, error) {
	books, err := s.Books()
	if err != nil {
		return 0, err
	}
	out, rows := csv.NewWriter(w), 0
	write := func(cells ...string) {
		_ = out.Write(cells) // Flush keeps the first error
		rows++
	}
	_ = out.Write(exportColumns)
	for _, id := range s.StockedParts(books) {
		p, name := books.Part(id), ""
		if x, ok := s.base.Part(id); ok {
			name = x.Name
		}
		due := ""
		if n := p.OnOrder(); n != 0 {
			due = numberText(n)
		}
		if len(p.Places) == 0 && place == "" {
			write("", id, "", "", due, name)
		}
		for i := range p.Places {
			at := &p.Places[i]
			if place != "" && at.Place != place {
				continue
			}
			write(at.Place, id, strconv.FormatFloat(at.OnHand, 'f', -1, 64), countedDay(at), due, name)
			due = "" // it is on order once
		}
	}
	out.Flush()
	return rows, out.Error()
}

// countedDay is the day of the last count, "" where nobody counted.
func countedDay(at *stock.PlaceBook) string {
	if c := at.LastCount(); c != nil {
		return c.At.Local().Format("2006-01-02")
	}
	return ""
}

// StockedParts returns the parts that have books or are on order: those of the
// base in its order, then those that it does not have.
func (s *Shop) StockedParts(books *stock.Books) []string {
	var in, out []string
	have := make(map[string]bool)
	for _, id := range books.Parts() {
		have[id] = true
		if _, ok := s.base.Part(id); !ok {
			out = append(out, id)
		}
	}
	for i := range s.base.Parts {
		if id := s.base.Parts[i].ID; have[id] {
			in = append(in, id)
		}
	}
	return append(in, out...)
}
