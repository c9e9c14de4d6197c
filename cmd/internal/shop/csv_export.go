package shop

import (
	"encoding/csv"
	"fmt"
	"io"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// Exported is what was written of the closed jobs.
type Exported struct {
	Jobs int `json:"jobs"`
	Rows int `json:"rows"` // more than jobs where some were opened again
	Open int `json:"open"` // open jobs, which were left out
}

// ExportJobs writes the closed jobs in CSV, one row for each stretch from an
// opening to a closing, in the order of their numbers; with all columns, or those
// that every file has. ImportJobs reads it back to the same jobs as far as the
// columns go; see row. Ids are those under which things were recorded: what the
// base says in `was` may be put right later, and nothing recorded is lost by it.
func (s *Shop) ExportJobs(w io.Writer, all bool) (Exported, error) {
	var did Exported
	columns := numContract
	if all {
		columns = numColumns
	}
	out := csv.NewWriter(w)
	if err := out.Write(columnNames[:columns]); err != nil {
		return did, err
	}
	if s.journal == nil {
		out.Flush()
		return did, out.Error()
	}
	for j, err := range s.journal.Jobs() {
		if err != nil {
			return did, err
		}
		if !j.Closed() {
			did.Open++
			continue
		}
		rows, err := s.rows(&j)
		if err != nil {
			return did, err
		}
		for i := range rows {
			cells := rows[i].cells()
			if err := out.Write(cells[:columns]); err != nil {
				return did, fmt.Errorf("the jobs cannot be written: %w", err)
			}
		}
		did.Jobs, did.Rows = did.Jobs+1, did.Rows+len(rows)
	}
	out.Flush()
	return did, out.Error()
}

// rows are the rows of a closed job; only one that was opened again needs its
// events.
func (s *Shop) rows(j *kb.Job) ([]row, error) {
	var events []journal.Event
	if len(j.Past) > 0 {
		var err error
		if events, err = s.journal.Events(j.ID); err != nil {
			return nil, err
		}
	}
	return rowsOf(j, events), nil
}
