package shop

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"sootsayer/kb"
)

// The columns of a file of closed jobs, in the order in which they are written.
// The first numContract are in every file; the others may be left out.
const (
	colJob = iota
	colOpened
	colClosed
	colFamily
	colModel
	colAppliance
	colComplaint
	colSymptoms
	colFindings
	colTried
	colCauses
	colConfidence
	colParts
	colMinutes
	colCallbackOf
	colFixes
	colFixMinutes
	colNote
	colFrom
	numColumns

	numContract = colCallbackOf + 1
)

// columnNames are the names of the columns, as in the header.
var columnNames = [numColumns]string{"job", "opened", "closed", "family", "model", "appliance", "complaint",
	"symptoms", "findings", "tried", "causes", "confidence", "parts", "minutes", "callback_of", "fixes", "fix_minutes", "note", "from"}

// columnSet is a set of columns.
type columnSet uint32

func (s columnSet) has(col int) bool { return s>>col&1 != 0 }
func (s *columnSet) add(col int)     { *s |= 1 << col }

// The marks within a cell.
const (
	listSeparator  = ";"    // parts the entries of a list
	minutesMark    = "@"    // before the minutes of one check, symptom or tried fix
	candidatesMark = "|"    // between causes of which it was one
	noneUsed       = "none" // as parts: no part was used
)

// row is one row of a file of closed jobs: one stretch of a job, from its
// opening to its closing.
//
// A job that was opened again has one row for each stretch; the later ones name
// the job itself as the one that they are the callback of. A callback that was
// written up as a job of its own names the earlier job.
//
// The columns hold the symptoms, then the findings, then the tried fixes. What
// was found after a fix stands between the fixes, as CHECK=RESULT, because it
// tells of the equipment as the fix left it. Times of single acts, who did
// them and how the equipment stood have no column.
type row struct {
	job                                 string
	opened, closed                      time.Time
	family, model, appliance, complaint string
	symptoms, findings                  []kb.Finding
	tried                               []kb.Act // from the first tried fix on: fixes and findings
	causes                              []string
	oneOf                               bool // it was one of the causes
	confidence                          float64
	parts                               map[string]float64 // nil when not stated, empty when none was used
	minutes                             float64
	callbackOf                          string
	fixes                               []string
	fixMinutes                          float64
	note                                string
	from                                string // the place that the parts came from, "" for the shelf

	unread columnSet // columns that the file does not have
}

// reopens tells whether the row goes on with a job of an earlier row.
func (r *row) reopens() bool { return r.callbackOf != "" && r.callbackOf == r.job }

// cells writes the row. Rows that say the same give the same cells.
func (r *row) cells() [numColumns]string {
	return [numColumns]string{
		colJob:        r.job,
		colOpened:     timeText(r.opened),
		colClosed:     timeText(r.closed),
		colFamily:     r.family,
		colModel:      r.model,
		colAppliance:  r.appliance,
		colComplaint:  r.complaint,
		colSymptoms:   joined(r.symptoms, symptomText),
		colFindings:   joined(r.findings, findingText),
		colTried:      joined(r.tried, triedText),
		colCauses:     strings.Join(r.causes, r.causesMark()),
		colConfidence: numberText(r.confidence),
		colParts:      partsText(r.parts),
		colMinutes:    minutesText(r.minutes),
		colCallbackOf: r.callbackOf,
		colFixes:      strings.Join(r.fixes, listSeparator),
		colFixMinutes: minutesText(r.fixMinutes),
		colNote:       r.note,
		colFrom:       r.from,
	}
}

func (r *row) causesMark() string {
	if r.oneOf {
		return candidatesMark
	}
	return listSeparator
}

// noon is the hour that a bare date stands for: the one that falls on the same
// day in nearly every time zone.
const noon = 12 * time.Hour

// timeText writes a time in RFC 3339, and noon UTC as the date.
func timeText(t time.Time) string {
	t = t.UTC()
	if t.Truncate(24 * time.Hour).Add(noon).Equal(t) {
		return t.Format(time.DateOnly)
	}
	return t.Format(time.RFC3339Nano)
}

func numberText(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func minutesText(m float64) string {
	if m == 0 { // not stated
		return ""
	}
	return numberText(m)
}

func joined[T any](list []T, text func(*T) string) string {
	words := make([]string, len(list))
	for i := range list {
		words[i] = text(&list[i])
	}
	return strings.Join(words, listSeparator)
}

// timed adds the minutes that something took, if stated.
func timed(text string, minutes float64) string {
	if minutes == 0 {
		return text
	}
	return text + minutesMark + numberText(minutes)
}

func symptomText(f *kb.Finding) string {
	if f.Outcome == kb.Yes {
		return timed(f.ID, f.Minutes)
	}
	return findingText(f)
}

func findingText(f *kb.Finding) string { return timed(resultText(f), f.Minutes) }

func resultText(f *kb.Finding) string {
	switch {
	case f.Reading != nil:
		return f.ID + "=" + numberText(*f.Reading)
	case f.Weights != nil:
		var chances []string
		for _, outcome := range slices.Sorted(maps.Keys(f.Weights)) {
			chances = append(chances, fmt.Sprintf("%s:%s", outcome, numberText(f.Weights[outcome])))
		}
		return f.ID + "=" + strings.Join(chances, ",")
	}
	return f.ID + "=" + f.Outcome
}

func triedText(a *kb.Act) string {
	if a.Finding != nil {
		return findingText(a.Finding)
	}
	return timed(a.Tried, a.Minutes)
}

// partsText leaves out what was booked and put back.
func partsText(parts map[string]float64) string {
	var words []string
	for _, id := range slices.Sorted(maps.Keys(parts)) {
		if parts[id] > 0 {
			words = append(words, id+"="+numberText(parts[id]))
		}
	}
	if parts != nil && words == nil {
		return noneUsed
	}
	return strings.Join(words, listSeparator)
}
