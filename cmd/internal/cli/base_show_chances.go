package cli

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"sootsayer/kb"
)

// chanceRow is the chance of each outcome of a symptom or check given one cause
// alone, or none of the causes that have a row. Now is nil where no closed job
// moved it.
type chanceRow struct {
	Cause string    `json:"cause,omitempty"` // empty for "normally"
	Start []float64 `json:"start"`
	Now   []float64 `json:"now,omitempty"`
	Jobs  int       `json:"jobs,omitempty"` // closed jobs behind Now
}

// chances writes out the table of a symptom or check over all of its families:
// a cause has the same row in each. "Normally" comes first, then the causes that
// change most.
func (s *shower) chances(kind, id string, families []string) ([]chanceRow, error) {
	var rows []chanceRow
	var outcomes []string
	for _, family := range families {
		m, err := kb.NewModel(s.base, family)
		if err != nil {
			return nil, err
		}
		i := m.ObservableIndex(kind, id)
		if i < 0 {
			continue
		}
		o := &m.Observables[i]
		outcomes = o.Outcomes
		if rows == nil {
			rows = append(rows, chanceRow{Start: o.Normally})
		}
		for _, r := range o.Rows {
			cause := m.Causes[r.Cause].ID
			if !slices.ContainsFunc(rows, func(x chanceRow) bool { return x.Cause == cause }) {
				rows = append(rows, chanceRow{Cause: cause, Start: r.P})
			}
		}
	}
	if len(rows) > 0 {
		normally := rows[0].Start
		slices.SortStableFunc(rows[1:], func(a, b chanceRow) int { return cmp.Compare(moved(b.Start, normally), moved(a.Start, normally)) })
	}
	changes, err := s.shop.TableChanges()
	if err != nil {
		return nil, err
	}
	for _, c := range changes {
		row := slices.IndexFunc(rows, func(x chanceRow) bool { return x.Cause == c.Cause })
		column := slices.Index(outcomes, c.Outcome)
		if c.Observable != kind+"/"+id || row < 0 || column < 0 {
			continue
		}
		r := &rows[row]
		if r.Now == nil {
			r.Now, r.Jobs = slices.Clone(r.Start), c.Jobs
		}
		r.Now[column] = c.Now
	}
	return rows, nil
}

// moved is how much of the chances lies elsewhere than normally.
func moved(p, normally []float64) float64 {
	sum := 0.0
	for i := range p {
		sum += math.Abs(p[i]-normally[i]) / 2
	}
	return sum
}

const (
	chanceTitle  = "Chances when it is this alone:"
	chanceColumn = 6
	leastName    = 24 // of the column of causes
)

// chanceTable writes the rows as a table, one column for each outcome under its
// head, or as text where there are too many outcomes for the width.
func (s *shower) chanceTable(rows []chanceRow, outcomes, heads []string) {
	if len(rows) == 0 {
		return
	}
	room := s.p.width - 4 - chanceColumn*len(outcomes)
	if room < leastName {
		s.chanceText(rows, outcomes)
		return
	}
	name := len(chanceTitle)
	for i := range rows {
		name = max(name, utf8.RuneCountInString(s.rowName(&rows[i], room)))
	}
	name = min(name, room)
	s.chanceLine("  "+chanceTitle, name+4, heads)
	for i := range rows {
		r := &rows[i]
		s.chanceLine("    "+s.rowName(r, room), name+4, percents(r.Start))
		if r.Now != nil {
			s.chanceLine("      now, by "+counted(r.Jobs, "closed job"), name+4, percents(r.Now))
		}
	}
}

// chanceLine writes a line of the table.
func (s *shower) chanceLine(name string, width int, cells []string) {
	line := pad(name, width)
	for _, c := range cells {
		line += fmt.Sprintf("%*s", chanceColumn, c)
	}
	s.p.line("%s", line)
}

func percents(p []float64) []string {
	out := make([]string, len(p))
	for i := range p {
		out[i] = percent(p[i])
	}
	return out
}

// rowName names the cause of a row, with its id where there is room.
func (s *shower) rowName(r *chanceRow, width int) string {
	if r.Cause == "" {
		return "none of these"
	}
	return nameAndID(s.causeName(r.Cause), r.Cause, width)
}

// nameAndID is a name with its id where there is room for both.
func nameAndID(name, id string, width int) string {
	if long := fmt.Sprintf("%s (%s)", name, id); utf8.RuneCountInString(long) <= width {
		return long
	}
	return cut(name, width)
}

// chanceText writes the rows as text.
func (s *shower) chanceText(rows []chanceRow, outcomes []string) {
	s.p.line("  " + chanceTitle)
	for i := range rows {
		r := &rows[i]
		s.p.para("    ", s.rowName(r, math.MaxInt)+": "+chanceWords(r.Start, outcomes))
		if r.Now != nil {
			s.p.para("      now, by "+counted(r.Jobs, "closed job")+": ", chanceWords(r.Now, outcomes))
		}
	}
}

func chanceWords(p []float64, outcomes []string) string {
	out := make([]string, len(p))
	for i := range p {
		out[i] = outcomes[i] + " " + percent(p[i])
	}
	return strings.Join(out, ", ")
}
