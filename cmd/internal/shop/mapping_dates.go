package shop

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// dateLayout is one way in which a shop writes dates, or times of a day.
type dateLayout struct {
	text  string // as the mapping has it
	go_   string // as package time wants it
	clock bool   // it tells the time of the day
	noon  bool   // it has AM or PM
	twice string // with day and month changed round, "" where they cannot be mixed up
}

// dateToken is a token of a layout.
type dateToken struct{ text, layout, what string }

// dateTokens are tried in this order.
var dateTokens = []dateToken{
	{"YYYY", "2006", "year"}, {"YY", "06", "year"}, {"MMM", "Jan", "month"}, {"MM", "01", "month"}, {"M", "1", "month"},
	{"DD", "02", "day"}, {"D", "2", "day"}, {"HH", "15", "hour"}, {"H", "15", "hour"}, {"hh", "03", "hour of twelve"}, {"h", "3", "hour of twelve"},
	{"mm", "04", "minute"}, {"ss", "05", "second"}, {"AM", "PM", "AM"}, {"T", "T", ""},
}

// parseDateLayout reads a layout such as "M/D/YYYY" or "D.M.YYYY HH:mm". A year
// of two digits is one of this century.
func parseDateLayout(text string) (dateLayout, error) {
	l := dateLayout{text: text}
	has := make(map[string]bool)
	var out strings.Builder
	for rest := text; rest != ""; {
		token, ok := nextDateToken(rest)
		switch {
		case !ok && strings.ContainsRune(" ./-:,", rune(rest[0])):
			token = dateToken{text: rest[:1], layout: rest[:1]}
		case !ok:
			return l, fmt.Errorf("%q in it means nothing", rest)
		case has[token.what]:
			return l, fmt.Errorf("it has the %s twice", token.what)
		case token.what != "":
			has[token.what] = true
		}
		out.WriteString(token.layout)
		rest = rest[len(token.text):]
	}
	l.go_, l.noon = out.String(), has["AM"]
	l.clock = has["hour"] || has["hour of twelve"]
	switch {
	case !has["year"] || !has["month"] || !has["day"]:
		return l, errors.New("it needs the year, the month and the day (mm are minutes, MM is the month)")
	case has["minute"] && !l.clock || has["second"] && !has["minute"]:
		return l, errors.New("it has minutes without hours, or seconds without minutes")
	case has["hour of twelve"] != has["AM"] || has["hour"] && has["AM"]:
		return l, errors.New("hours of twelve, h, go with AM; hours of twenty-four are HH")
	}
	l.twice = swapped(text)
	return l, nil
}

func nextDateToken(text string) (dateToken, bool) {
	for _, t := range dateTokens {
		if strings.HasPrefix(text, t.text) {
			return t, true
		}
	}
	return dateToken{}, false
}

// swapped changes day and month round, where both are written as numbers and
// people write them in either order; "" elsewhere.
func swapped(text string) string {
	if strings.Contains(text, "MMM") || strings.HasPrefix(text, "YYYY") {
		return ""
	}
	return strings.NewReplacer("AM", "AM", "M", "D", "D", "M").Replace(text)
}

// read reads a time; those of a day are taken as UTC.
func (l dateLayout) read(cell string) (time.Time, bool) {
	if l.noon {
		cell = strings.ToUpper(cell)
	}
	t, err := time.Parse(l.go_, cell)
	if err != nil {
		return t, false
	}
	if t.Year() >= 1969 && t.Year() < 2000 && !strings.Contains(l.go_, "2006") {
		t = t.AddDate(100, 0, 0)
	}
	return t, true
}

// plain writes a time as a plain file has it.
func (l dateLayout) plain(t time.Time) string {
	if l.clock {
		return t.Format(time.RFC3339)
	}
	return t.Format(time.DateOnly)
}

// date rewrites a cell that holds a time. What it cannot read, or could read in
// two ways, it refuses.
func (m *Mapping) date(raw *rawRow, cell string) (string, error) {
	var by *dateLayout
	var at time.Time
	for i := range m.dates {
		l := &m.dates[i]
		t, ok := l.read(cell)
		switch {
		case !ok:
		case by == nil:
			by, at = l, t
		case !t.Equal(at):
			return "", fmt.Errorf("%q is %s as %s and %s as %s; keep one of the two under dates in %s",
				cell, by.plain(at), by.text, l.plain(t), l.text, m.file)
		}
	}
	if by == nil {
		return "", m.noDate(cell)
	}
	if by.twice != "" && at.Day() != int(at.Month()) {
		raw.eitherWay, raw.oneWay = raw.eitherWay || at.Day() <= 12, raw.oneWay || at.Day() > 12
	}
	return by.plain(at), nil
}

// otherWay is how the dates may have been meant, with day and month changed
// round.
func (m *Mapping) otherWay() string {
	for _, l := range m.dates {
		if l.twice != "" {
			return l.twice
		}
	}
	return ""
}

// noDate says why a cell is no date, and which layout it would go with.
func (m *Mapping) noDate(cell string) error {
	var texts []string
	for _, l := range m.dates {
		texts = append(texts, l.text)
		if l.twice == "" {
			continue
		}
		if other, err := parseDateLayout(l.twice); err == nil {
			if _, ok := other.read(cell); ok {
				return fmt.Errorf("%q is no date as %s but one as %s; put the date right, or dates in %s if that is how all are written", cell, l.text, l.twice, m.file)
			}
		}
	}
	return fmt.Errorf("%q is not a date as %s; put it right, or add how it is written to dates in %s", cell, strings.Join(texts, " or "), m.file)
}
