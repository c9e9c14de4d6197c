package shop

import (
	"sootsayer/kb/stock"
)

// UnknownMonths returns the months of which nothing is known: uses outside of jobs
// were recorded before and after them and none in them, and no call was closed. A
// shop that keeps only its jobs has none: there a month without a call is a quiet
// one.
func (s *Shop) UnknownMonths() ([]stock.Month, error) {
	l, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	used, called := make(map[stock.Month]bool), make(map[stock.Month]bool)
	for i := range l.moves {
		if m := &l.moves[i]; m.Kind == stock.Used && m.Job == "" {
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
