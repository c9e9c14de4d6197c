package shop

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"sootsayer/kb"
)

// Bounds of a row.
const (
	maxCell    = 1 << 16 // bytes of a cell
	maxEntries = 1000    // of a list
	maxPieces  = 1e6     // of a part on one job
	maxMinutes = 365 * 24 * 60
	maxName    = 200 // bytes of a job's number, a model, an appliance
)

// farAhead is how far a time may lie ahead of the clock: clocks and time zones
// differ, and a bare date stands for noon.
const farAhead = 48 * time.Hour

// rowParser reads the cells of a row and checks them against the base.
type rowParser struct {
	base *kb.Base
	now  time.Time

	raw      *rawRow
	problems []cellProblem
}

// cellProblem is what is wrong with one cell.
type cellProblem struct {
	col     int
	what    string
	unknown *unknownWord // set where a word names nothing of the base
}

// unknownWord is a word of a cell that the base does not have.
type unknownWord struct {
	what string   // such as cause of oil-furnace
	text string   // as a mapping would name it
	of   string   // of an outcome: its check or symptom
	have []string // what might have been meant
}

// parse reads a row and reports everything that is wrong with it.
func (p *rowParser) parse(raw *rawRow) (row, []cellProblem) {
	p.raw, p.problems = raw, raw.problems
	for col, cell := range raw.cells {
		p.text(col, cell)
	}
	if len(p.problems) > len(raw.problems) {
		return row{}, p.problems
	}
	r := row{
		job: p.jobID(colJob), family: p.family(),
		model: p.name(colModel), appliance: p.name(colAppliance),
		complaint: raw.cells[colComplaint], note: raw.cells[colNote], unread: raw.unread,
	}
	if r.job == "" {
		p.wrong(colJob, "there is no job number; write one, each job its own")
	}
	if raw.cells[colCallbackOf] != "" {
		r.callbackOf = p.jobID(colCallbackOf)
	}
	p.times(&r)
	r.confidence = p.number(colConfidence, 1, "how sure it was, above 0 and up to 1, such as 0.8", func(v float64) bool { return v > 0 && v <= 1 })
	inYear := func(v float64) bool { return v >= 0 && v <= maxMinutes }
	r.minutes = p.number(colMinutes, 0, "the minutes of the whole call, such as 75", inYear)
	r.fixMinutes = p.number(colFixMinutes, 0, "the minutes that the fixes took with their proof, such as 20", inYear)
	r.parts, r.fixes = p.parts(), p.fixes()
	if len(r.parts) > 0 {
		r.from = p.place()
	}
	if r.family != "" {
		r.symptoms = p.findings(colSymptoms, kb.KindSymptom, r.family)
		r.findings = p.findings(colFindings, kb.KindCheck, r.family)
		r.tried = p.tried(r.family)
		r.causes, r.oneOf = p.causes(r.family)
	}
	return r, p.problems
}

// wrong reports a cell, unless the mapping refused it before.
func (p *rowParser) wrong(col int, format string, args ...any) {
	p.report(cellProblem{col: col, what: fmt.Sprintf(format, args...)})
}

func (p *rowParser) report(problem cellProblem) {
	if !p.raw.refused.has(problem.col) {
		p.problems = append(p.problems, problem)
	}
}

// text refuses what is no text of a person.
func (p *rowParser) text(col int, cell string) {
	control := func(r rune) bool {
		return unicode.IsControl(r) && r != '\t' && (r != '\n' || col != colComplaint && col != colNote)
	}
	switch {
	case len(cell) > maxCell:
		p.wrong(col, "the cell is %d bytes long; keep it to %d", len(cell), maxCell)
	case !utf8.ValidString(cell):
		p.wrong(col, "this is not UTF-8 text; save the file as CSV in UTF-8, or write encoding: windows-1252 in a file for --map")
	case strings.ContainsFunc(cell, control):
		p.wrong(col, "%q holds a character that cannot be printed; take it out", cell)
	}
}

func (p *rowParser) name(col int) string {
	cell := p.raw.cells[col]
	if len(cell) > maxName {
		p.wrong(col, "%q is %d bytes long; keep it to %d", cell[:20]+"...", len(cell), maxName)
	}
	if strings.Contains(cell, "\t") {
		p.wrong(col, "%q holds a tab; take it out", cell)
	}
	return cell
}

// jobID refuses numbers that no command line could name.
func (p *rowParser) jobID(col int) string {
	id := p.name(col)
	if strings.Contains(id, "=") || strings.HasPrefix(id, "-") {
		p.wrong(col, "job number %q holds \"=\" or begins with \"-\", so that no command could name it; write it without", id)
	}
	return id
}

func (p *rowParser) family() string {
	id := p.base.Today("families", p.raw.cells[colFamily])
	if _, ok := p.base.Family(id); ok {
		return id
	}
	have := p.base.IDs("families")
	if id == "" {
		p.wrong(colFamily, "there is no family; write one of: %s", strings.Join(have, ", "))
	} else {
		p.refuse(colFamily, id, kb.UnknownID("family", id, have))
	}
	return ""
}

// times reads when the job was opened and closed. A bare date stands for noon
// UTC; where the other time names the same day it stands for that time, so
// that "2024-11-03" and "2024-11-03T15:10:00-05:00" go together either way.
func (p *rowParser) times(r *row) {
	opened, openedDay, ok1 := p.time(colOpened)
	closed, closedDay, ok2 := p.time(colClosed)
	if !ok1 || !ok2 {
		return
	}
	if closed.Before(opened) && opened.Format(time.DateOnly) == closed.Format(time.DateOnly) {
		switch {
		case closedDay:
			closed = opened
		case openedDay:
			opened = closed
		}
	}
	r.opened, r.closed = opened.UTC(), closed.UTC()
	if r.closed.Before(r.opened) {
		p.wrong(colClosed, "%s lies before the opening, %s; put the two times right", p.raw.cells[colClosed], p.raw.cells[colOpened])
	}
}

func (p *rowParser) time(col int) (t time.Time, day, ok bool) {
	cell := p.raw.cells[col]
	t, err := time.Parse(time.DateOnly, cell)
	if err == nil {
		t, day = t.Add(noon), true
	} else {
		t, err = time.Parse(time.RFC3339, cell)
	}
	switch year := t.UTC().Year(); {
	case cell == "" && col == colClosed:
		p.wrong(col, "there is no closing time, and only closed jobs are imported; write a date such as 2024-11-03")
	case cell == "":
		p.wrong(col, "there is no time; write a date such as 2024-11-03")
	case err != nil:
		p.wrong(col, "%q is not a time; write a date such as 2024-11-03, or 2024-11-03T15:10:00Z", cell)
	case year < 1970:
		p.wrong(col, "the year of %s cannot be; write a date from 1970 on", cell)
	case t.After(p.now.Add(farAhead)):
		p.wrong(col, "%s lies ahead of today, %s; put the date right", cell, p.now.Format(time.DateOnly))
	default:
		return t, day, true
	}
	return t, day, false
}

// number reads a number, fallback where the cell is empty.
func (p *rowParser) number(col int, fallback float64, want string, good func(float64) bool) float64 {
	cell := p.raw.cells[col]
	if cell == "" {
		return fallback
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || !good(v) {
		p.wrong(col, "%q cannot be; write %s, or nothing", cell, want)
	}
	return v
}
