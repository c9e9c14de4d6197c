package shop

import (
	"sootsayer/kb/stock"
)

// UnknownMonths returns the months of which nothing is known: files of uses have
// rows of months before and after them and none of them, and no call was closed.
// A shop that keeps only its jobs has none: there a month without a call is a
// quiet one.
func (s *Shop) UnknownMonths() ([]stock.Month, error) {
	l, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	used, called := make(map[stock.Month]bool), make(map[stock.Month]bool)
	for i := range l.moves {
		if m := &l.moves[i]; fromUsageFile(m) {
			used[stock.MonthOf(m.At)] = true
		}
	}
	for i := range l.calls {
		called[stock.MonthOf(l.calls[i].At)] = true
	}
	var unknown []stock.Month
	for _, m := range missingMonths(used) {
		if !called[m] {
			unknown = append(unknown, m)
		}
	}
	return unknown, nil
}

// fromUsageFile tells whether a movement came from a file of uses.
func fromUsageFile(m *stock.Movement) bool {
	return m.Kind == stock.Used && m.Job == "" && m.By == importer
}
