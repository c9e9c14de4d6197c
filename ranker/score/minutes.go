package score

import "slices"

// spent collects minutes spent and foreseen.
type spent struct {
	spent, foreseen float64
	ratios          []float64
}

// add adds a job that states its minutes; 0 does not.
func (s *spent) add(took, foreseen float64) {
	if !(took > 0) || !(foreseen > 0) {
		return
	}
	s.spent += took
	s.foreseen += foreseen
	s.ratios = append(s.ratios, took/foreseen)
}

func (s *spent) minutes() Minutes {
	n := len(s.ratios)
	if n == 0 {
		return Minutes{}
	}
	return Minutes{Jobs: n, Spent: s.spent, Foreseen: s.foreseen, MeanSpent: s.spent / float64(n), MeanForeseen: s.foreseen / float64(n),
		MedianRatio: median(s.ratios)}
}

// median of a list that is not empty; of an even number the mean of the two in
// the middle.
func median(list []float64) float64 {
	sorted := slices.Sorted(slices.Values(list))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}
