package stock

import (
	"fmt"
	"time"
)

// Month is a calendar month, counted from January of the year 0.
type Month int

// MonthOf returns the month of a moment, in the moment's own time zone.
func MonthOf(t time.Time) Month { return Month(t.Year()*12 + int(t.Month()) - 1) }

// ParseMonth reads a month written as 2024-01.
func ParseMonth(s string) (Month, error) {
	t, err := time.Parse("2006-01", s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a month; write it as 2024-01", s)
	}
	return MonthOf(t), nil
}

// String writes a month as 2024-01.
func (m Month) String() string { return fmt.Sprintf("%04d-%02d", m.year(), m.Calendar()+1) }

// Calendar returns the month's place in the year, 0 for January.
func (m Month) Calendar() int { return int(m) - 12*m.year() }

func (m Month) year() int {
	if m < 0 {
		return (int(m) - 11) / 12
	}
	return int(m) / 12
}

// Days returns the number of days of the month.
func (m Month) Days() int {
	return time.Date(m.year(), time.Month(m.Calendar()+2), 0, 0, 0, 0, 0, time.UTC).Day()
}

// Span is a stretch within one calendar month: Share of its days.
type Span struct {
	Month Month
	Share float64
}

// Days lists the days from a moment's date on as spans of calendar months, each
// day counting as its month's own number of days says. No days give no spans.
func Days(from time.Time, days int) []Span {
	var spans []Span
	day := from.Day()
	for m := MonthOf(from); days > 0; m++ {
		n := min(days, m.Days()-day+1)
		spans = append(spans, Span{m, float64(n) / float64(m.Days())})
		days -= n
		day = 1
	}
	return spans
}

// WholeMonths lists n whole months as spans.
func WholeMonths(from Month, n int) []Span {
	spans := make([]Span, max(0, n))
	for i := range spans {
		spans[i] = Span{from + Month(i), 1}
	}
	return spans
}
