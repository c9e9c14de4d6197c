package shop

import (
	"fmt"
	"strings"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// standing tells whether a row is there already, or why it cannot be taken in.
func (s *Shop) standing(r *row) (already bool, why *cellProblem, err error) {
	events, err := s.journal.Events(r.job)
	if err != nil {
		return false, nil, err
	}
	if len(events) == 0 {
		if r.reopens() {
			why = &cellProblem{colCallbackOf, fmt.Sprintf("it goes on with job %s, which is not there; put the row of its first visit before it", r.job)}
		}
		return false, why, nil
	}
	j := journal.FoldJob(events)
	rows := rowsOf(&j, events)
	if !r.reopens() {
		if len(rows) == 0 {
			return false, &cellProblem{colJob, fmt.Sprintf("job %s is there already and open; give this row another number", r.job)}, nil
		}
		already, why = same(r, &rows[0])
		return already, why, nil
	}
	for i := 1; i < len(rows); i++ {
		if rows[i].opened.Equal(r.opened) {
			already, why = same(r, &rows[i])
			return already, why, nil
		}
	}
	return false, goesOn(r, &j), nil
}

// same compares a row with what the store says of the same job.
func same(r, there *row) (bool, *cellProblem) {
	mine, theirs := r.cells(), there.cells()
	if mine == theirs {
		return true, nil
	}
	var differs []string
	for col := range mine {
		if mine[col] != theirs[col] {
			differs = append(differs, fmt.Sprintf("%s (there %q, here %q)", columnNames[col], short(theirs[col]), short(mine[col])))
		}
	}
	if n := len(differs) - mostDiffering; n > 0 {
		differs = append(differs[:mostDiffering], fmt.Sprintf("and %d more", n))
	}
	return false, &cellProblem{colJob, fmt.Sprintf("job %s is there already and says something else: %s; give this row another number, or leave it out",
		r.job, strings.Join(differs, ", "))}
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
		return &cellProblem{colCallbackOf, fmt.Sprintf("job %s is there already and open; close it first", j.ID)}
	case !r.opened.After(j.Closing.At):
		return &cellProblem{colOpened, fmt.Sprintf("job %s was closed at %s, and this row goes on with it; write the time of day when it came back, after that",
			j.ID, j.Closing.At.UTC().Format("2006-01-02T15:04:05Z"))}
	case r.family != j.Family:
		return &cellProblem{colFamily, fmt.Sprintf("job %s is of family %s; a row that goes on with it must be too", j.ID, j.Family)}
	case r.model != j.Model:
		return &cellProblem{colModel, fmt.Sprintf("job %s is of model %q; a row that goes on with it must be too", j.ID, j.Model)}
	case r.appliance != j.Appliance:
		return &cellProblem{colAppliance, fmt.Sprintf("job %s is of appliance %q; a row that goes on with it must be too", j.ID, j.Appliance)}
	}
	return nil
}
