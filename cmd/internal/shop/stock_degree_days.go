package shop

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// mostDegreeDays is more than any month has: 31 days at 100 degrees below zero.
const mostDegreeDays = 31 * 165

// ReadDegreeDays reads heating degree days, base 65 F, from a table in CSV: a
// column month, 1 to 12 for an average year or 2026-01 for that month, and a
// column whose name begins with hdd, or degree_days. Where a column city, station
// or place names several places, one of them has to be asked for. Where only
// single months are given the average year is their mean.
func ReadDegreeDays(name string, r io.Reader, place string) (*stock.DegreeDays, error) {
	in := csv.NewReader(r)
	in.FieldsPerRecord = -1
	header, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("%s has no first line that names its columns; write month,hdd: %w", name, err)
	}
	c, err := degreeColumns(name, header)
	if err != nil {
		return nil, err
	}
	d := degreeReader{name: name, columns: c, place: place, days: &stock.DegreeDays{Months: make(map[stock.Month]float64)}}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s cannot be read as CSV: %w", name, err)
		}
		line, _ := in.FieldPos(0)
		if err := d.row(line, row); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
	}
	return d.finish()
}

// degreeAt is where the columns stand; place is -1 without one.
type degreeAt struct{ month, days, place int }

func degreeColumns(name string, header []string) (degreeAt, error) {
	at := degreeAt{-1, -1, -1}
	for i, word := range header {
		word = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(word, "\ufeff")))
		switch {
		case word == "month":
			at.month = i
		case at.days < 0 && (strings.HasPrefix(word, "hdd") || word == "degree_days" || word == "degree days"):
			at.days = i
		case word == "city" || word == "station" || word == "place":
			at.place = i
		}
	}
	if at.month < 0 || at.days < 0 {
		return at, fmt.Errorf("%s: the first line has to name the columns month and hdd (heating degree days, base 65 F); it is %s", name, strings.Join(header, ","))
	}
	return at, nil
}

// degreeReader takes in rows.
type degreeReader struct {
	name    string
	columns degreeAt
	place   string
	places  []string
	normal  [12]bool
	days    *stock.DegreeDays
}

func (d *degreeReader) row(line int, row []string) error {
	cell := func(i int) string {
		if i < 0 || i >= len(row) {
			return ""
		}
		return strings.TrimSpace(row[i])
	}
	if place := cell(d.columns.place); d.columns.place >= 0 {
		if !slices.Contains(d.places, place) {
			d.places = append(d.places, place)
		}
		if d.place != "" && place != d.place {
			return nil
		}
		if d.place == "" && len(d.places) > 1 {
			return fmt.Errorf("there are several places in it; name one behind a #, as in %s#%s", d.name, d.places[0])
		}
	}
	hdd, err := strconv.ParseFloat(cell(d.columns.days), 64)
	if err != nil || !(hdd >= 0 && hdd <= mostDegreeDays) {
		return fmt.Errorf("%q are no heating degree days of a month; write a number from 0 to %d", cell(d.columns.days), mostDegreeDays)
	}
	month := cell(d.columns.month)
	if n, err := strconv.Atoi(month); err == nil {
		if n < 1 || n > 12 {
			return fmt.Errorf("there is no month %d; write 1 to 12, or 2026-01 for a single month", n)
		}
		if d.normal[n-1] {
			return fmt.Errorf("month %d is given twice; keep one of them", n)
		}
		d.normal[n-1], d.days.Normal[n-1] = true, hdd
		return nil
	}
	m, err := stock.ParseMonth(month)
	if err != nil {
		return fmt.Errorf("%q is not a month; write 1 to 12 for an average year, or 2026-01 for a single month", month)
	}
	if _, twice := d.days.Months[m]; twice {
		return fmt.Errorf("%v is given twice; keep one of them", m)
	}
	d.days.Months[m] = hdd
	return nil
}

// finish sees to it that every month of an average year is known.
func (d *degreeReader) finish() (*stock.DegreeDays, error) {
	if d.place != "" && !slices.Contains(d.places, d.place) {
		return nil, kb.UnknownID("place", d.place, d.places)
	}
	var sum, n [12]float64
	for m, hdd := range d.days.Months {
		sum[m.Calendar()] += hdd
		n[m.Calendar()]++
	}
	var missing []string
	for c := range sum {
		switch {
		case d.normal[c]:
		case n[c] > 0:
			d.days.Normal[c] = math.Round(1e6*sum[c]/n[c]) / 1e6
		default:
			missing = append(missing, strconv.Itoa(c+1))
		}
	}
	switch {
	case len(missing) == 12:
		return nil, fmt.Errorf("%s has no rows; write one for each month", d.name)
	case len(missing) > 0:
		return nil, fmt.Errorf("%s: nothing is said of month %s; every month of a year is needed", d.name, strings.Join(missing, ", "))
	}
	return d.days, nil
}
