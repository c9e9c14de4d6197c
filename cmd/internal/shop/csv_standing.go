package shop

import (
	"fmt"
	"slices"
	"strings"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// standing tells whether a row is there already, or why it cannot be taken in.
// Pending are the events of its job that are not written yet.
func (s *Shop) standing(r *row, pending []journal.Event) (already bool, why *cellProblem, err error) {
	events, err := s.journal.Events(r.job)
	if err != nil {
		return false, nil, err
	}
	already, why = s.standingOf(r, append(events, pending...))
	return already, why, nil
}

// standingOf is standing where the events of the row's job are known.
func (s *Shop) standingOf(r *row, events []journal.Event) (already bool, why *cellProblem) {
	if len(events) == 0 {
		if r.reopens() {
			why = notThere(r)
		}
		return false, why
	}
	slices.SortFunc(events, journal.Compare)
	j := s.renamed(journal.FoldJob(events)) // as the row is, in today's ids
	rows := rowsOf(&j, events)
	if !r.reopens() {
		if len(rows) == 0 {
			return false, problemOf(colJob, fmt.Sprintf("job %s is there already and open; give this row another number", r.job))
		}
		return same(r, &rows[0])
	}
	for i := 1; i < len(rows); i++ {
		if rows[i].opened.Equal(r.opened) {
			return same(r, &rows[i])
		}
	}
	return false, goesOn(r, &j)
}

func notThere(r *row) *cellProblem {
	return problemOf(colCallbackOf, fmt.Sprintf("it goes on with job %s, which is not there; put the row of its first visit before it", r.job))
}

// same compares a row with what the store says of the same job.
func same(r, there *row) (bool, *cellProblem) {
	mine, theirs := r.cells(), there.cells()
	var differs []string
	for _, col := range differing(&mine, &theirs, r.unread) {
		differs = append(differs, fmt.Sprintf("%s (there %q, here %q)", columnNames[col], short(theirs[col]), short(mine[col])))
	}
	if len(differs) == 0 {
		return true, nil
	}
	if n := len(differs) - mostDiffering; n > 0 {
		differs = append(differs[:mostDiffering], fmt.Sprintf("and %d more", n))
	}
	return false, problemOf(colJob, fmt.Sprintf("job %s is there already and says something else: %s; give this row another number, or leave it out",
		r.job, strings.Join(differs, ", ")))
}

// differing are the columns in which two rows say something else, but for those
// that one of them does not have.
func differing(a, b *[numColumns]string, unread columnSet) []int {
	var cols []int
	for col := range a {
		if a[col] != b[col] && !unread.has(col) {
			cols = append(cols, col)
		}
	}
	return cols
}

// mostDiffering is how many differing columns a message names.
const mostDiffering = 3

// short keeps a message readable.
func short(cell string) string {
	const most = 40
	if letters := []rune(cell); len(letters) > most {
		return string(letters[:most]) + "..."
	}
	return cell
}

// goesOn tells why a row cannot go on with the job that is there.
func goesOn(r *row, j *kb.Job) *cellProblem {
	switch {
	case !j.Closed():
		return problemOf(colCallbackOf, fmt.Sprintf("job %s is there already and open; close it first", j.ID))
	case !r.opened.After(j.Closing.At):
		return problemOf(colOpened, fmt.Sprintf("job %s was closed at %s, and this row goes on with it; write the time of day when it came back, after that",
			j.ID, j.Closing.At.UTC().Format("2006-01-02T15:04:05Z")))
	case r.family != j.Family:
		return problemOf(colFamily, fmt.Sprintf("job %s is of family %s; a row that goes on with it must be too", j.ID, j.Family))
	case r.model != j.Model:
		return problemOf(colModel, fmt.Sprintf("job %s is of model %q; a row that goes on with it must be too", j.ID, j.Model))
	case r.appliance != j.Appliance:
		return problemOf(colAppliance, fmt.Sprintf("job %s is of appliance %q; a row that goes on with it must be too", j.ID, j.Appliance))
	}
	return nil
}

func problemOf(col int, what string) *cellProblem { return &cellProblem{col: col, what: what} }
