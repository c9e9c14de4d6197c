package kb

import (
	"math"
	"slices"
)

// newModelState writes out the minutes between all values of a state, going
// through other values where that is quicker (Floyd and Warshall 1962).
func newModelState(s *State) ModelState {
	n := len(s.Values)
	m := ModelState{ID: s.ID, Values: s.Values, Minutes: make([][]float64, n)}
	for i, from := range s.Values {
		m.Minutes[i] = make([]float64, n)
		for j, to := range s.Values {
			if i == j {
				continue
			}
			m.Minutes[i][j] = math.Inf(1)
			if v, ok := s.Minutes[from+">"+to]; ok {
				m.Minutes[i][j] = v
			}
		}
	}
	for k := range n {
		for i := range n {
			for j := range n {
				m.Minutes[i][j] = min(m.Minutes[i][j], m.Minutes[i][k]+m.Minutes[k][j])
			}
		}
	}
	return m
}

// requirement turns "power: off" into value indexes, -1 where none is asked.
func (m *Model) requirement(need map[string]string) []int {
	out := make([]int, len(m.States))
	for i := range m.States {
		out[i] = -1
		if want, ok := need[m.States[i].ID]; ok {
			out[i] = slices.Index(m.States[i].Values, want)
		}
	}
	return out
}
