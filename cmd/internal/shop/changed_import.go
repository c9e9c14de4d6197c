package shop

import "sootsayer/kb/journal"

// recorded tells whether a row says, cell by cell, what the store recorded of
// its job, whatever of it the base has today: a file that was exported before the
// base was edited is there already, though it could not be taken in any more.
func (s *Shop) recorded(raw *rawRow) (bool, error) {
	job := raw.cells[colJob]
	if job == "" || s.journal == nil {
		return false, nil
	}
	events, err := s.journal.Events(job)
	if err != nil {
		return false, err
	}
	j := journal.FoldJob(events)
	rows := rowsOf(&j, events)
	for i := range rows {
		if cells := rows[i].cells(); len(differing(&raw.cells, &cells, raw.unread)) == 0 {
			return true, nil
		}
	}
	return false, nil
}
