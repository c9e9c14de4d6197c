package ranker

import "math"

// gain returns bits(t) = I(Y; O_t | e) = H(O_t | e) - sum_y P(y|e) H(O_t | y, e)
// in bits, Y being the set of fixes still needed, and leaves P(outcome | e) in
// s.outcomeP.
//
// Only what an observable has rows for is visited; all else shares the normal
// row and enters by what mass is left. Entropies are summed in nats.
func (s *scratch) gain(e *Engine, tab *table, post []float64) float64 {
	var touched, conditional float64
	if tab.k == 2 {
		touched, conditional = s.uniform2(tab)
	} else {
		touched, conditional = s.uniform(tab)
	}
	out := s.outcomeP[:tab.k]
	for i := range tab.mixed {
		mix := &tab.mixed[i]
		mass := s.groupMass[mix.group]
		if mass <= 0 {
			continue
		}
		q := s.mix(tab, mix, post)
		for j, v := range q {
			out[j] += v
			conditional -= xlogx(v)
		}
		conditional += s.massLog[mix.group]
		touched += mass
	}
	rest := max(0, 1-touched)
	total := conditional + rest*tab.hNormal
	var h float64
	for j, p := range tab.normal {
		out[j] += rest * p
		h -= xlogx(out[j])
	}
	return clampBits((h-total)/math.Ln2, len(e.groups.fixes))
}

// uniform adds up the groups that have one row each, starting s.outcomeP, and
// returns their mass and their part of the conditional entropy in nats.
func (s *scratch) uniform(tab *table) (touched, conditional float64) {
	k := tab.k
	out := s.outcomeP[:k]
	clear(out)
	for r, h := range tab.h {
		var w float64
		for _, g := range tab.rowGroups[tab.rowStart[r]:tab.rowStart[r+1]] {
			w += s.groupMass[g]
		}
		touched += w
		conditional += w * h
		for j, p := range tab.p[r*k : r*k+k] {
			out[j] += w * p
		}
	}
	return touched, conditional
}

// uniform2 is uniform for two outcomes, the usual case.
func (s *scratch) uniform2(tab *table) (touched, conditional float64) {
	var o0, o1 float64
	mass := s.groupMass
	p := tab.p[:2*len(tab.h)]
	if len(tab.rowGroups) == len(tab.h) && len(tab.mixed) == 0 { // every row has one group
		for r, g := range tab.rowGroups {
			w := mass[g]
			touched += w
			conditional += w * tab.h[r]
			o0 += w * p[2*r]
			o1 += w * p[2*r+1]
		}
	} else {
		start := tab.rowStart[:len(tab.h)+1]
		for r, h := range tab.h {
			var w float64
			for _, g := range tab.rowGroups[start[r]:start[r+1]] {
				w += mass[g]
			}
			touched += w
			conditional += w * h
			o0 += w * p[2*r]
			o1 += w * p[2*r+1]
		}
	}
	s.outcomeP[0], s.outcomeP[1] = o0, o1
	return touched, conditional
}

// mix returns P(Y = the group, outcome) for a mixed group.
func (s *scratch) mix(tab *table, mix *mixedGroup, post []float64) []float64 {
	q := s.joint[:tab.k]
	clear(q)
	rest := s.groupMass[mix.group]
	for i := mix.start; i < mix.end; i++ {
		w := post[tab.sets[i]]
		rest -= w
		for j, p := range tab.row(tab.setRow[i]) {
			q[j] += w * p
		}
	}
	rest = max(0, rest)
	for j, p := range tab.normal {
		q[j] += rest * p
	}
	return q
}

// leastBits is below what rounding leaves of a check that tells nothing.
const leastBits = 1e-12

// clampBits keeps rounding from leaving 0 to log2 of the number of answers, and
// makes what is only rounding 0, so that such checks tie and stand by id.
func clampBits(bits float64, answers int) float64 {
	if bits < leastBits {
		return 0
	}
	return min(bits, math.Log2(float64(answers)))
}
