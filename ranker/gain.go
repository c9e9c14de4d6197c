package ranker

import "math"

// gain returns bits(t) = I(Y; O_t | e) = H(O_t | e) - sum_y P(y|e) H(O_t | y, e)
// in bits, Y being the set of fixes still needed. It leaves P(outcome | e) in
// s.outcomeP and P(Y, outcome | e) of the mixed groups in s.mixed.
//
// Only what an observable has rows for is visited; all else shares the normal
// row and enters by what mass is left. Entropies are summed in nats.
func (s *scratch) gain(e *Engine, tab *table, post []float64) float64 {
	touched := s.massOfRows(tab)
	w := s.rowMass[:len(tab.h)]
	conditional := dot(w, tab.h)
	out := s.outcomeP[:tab.k]
	out[0] = touched
	for j := 1; j < tab.k; j++ {
		out[j] = dot(w, tab.p[j])
		out[0] -= out[j]
	}
	if len(tab.mixed) > 0 {
		mass, entropy := s.mix(tab, post)
		touched += mass
		conditional += entropy
	}
	rest := max(0, 1-touched)
	conditional += rest * tab.hNormal
	var h float64
	for j, p := range tab.normal {
		out[j] = max(0, out[j]) + rest*p
		h -= xlogx(out[j])
	}
	return clampBits((h-conditional)/math.Ln2, len(e.groups.fixes))
}

// massOfRows fills s.rowMass with the mass of the uniform groups of each row and
// returns their sum.
func (s *scratch) massOfRows(tab *table) (sum float64) {
	w, mass := s.rowMass[:len(tab.h)], s.groupMass
	if len(tab.rowGroups) == len(tab.h) && len(tab.mixed) == 0 { // every row has one group
		for r, g := range tab.rowGroups {
			w[r] = mass[g]
			sum += w[r]
		}
		return sum
	}
	start := tab.rowStart[:len(tab.h)+1]
	for r := range w {
		var m float64
		for _, g := range tab.rowGroups[start[r]:start[r+1]] {
			m += mass[g]
		}
		w[r] = m
		sum += m
	}
	return sum
}

// negligible is the mass below which a mixed group's conditional entropy is left
// out; all such groups together make less than 1e-9 bits.
const negligible = 1e-14

// mix fills s.mixed with P(Y, outcome) of the mixed groups, adds them to
// s.outcomeP, and returns their mass and their part of the conditional entropy
// in nats.
func (s *scratch) mix(tab *table, post []float64) (mass, conditional float64) {
	if tab.stride == 4 {
		return s.mix4(tab, post)
	}
	k := tab.k
	out, normal := s.outcomeP[:k], tab.normal[:k]
	for i := range tab.mixed {
		mix := &tab.mixed[i]
		m := s.groupMass[mix.group]
		mass += m
		rest := m
		q := s.mixed[i*k : i*k+k : i*k+k]
		clear(q)
		p := tab.mixedP[int(mix.start)*k : int(mix.end)*k]
		for _, set := range tab.mixedSet[mix.start:mix.end] {
			w := post[set]
			rest -= w
			for j, v := range p[:len(q)] {
				q[j] += w * v
			}
			p = p[k:]
		}
		rest = max(0, rest)
		for j := range q {
			q[j] += rest * normal[j]
			out[j] += q[j]
		}
		if m < negligible {
			continue
		}
		conditional += s.massLog[mix.group]
		for _, v := range q {
			conditional -= xlogx(v)
		}
	}
	return mass, conditional
}

// mix4 is mix for two to four outcomes, the usual case: rows are filled up to
// four values with zeroes, so that the sums stay in registers.
func (s *scratch) mix4(tab *table, post []float64) (mass, conditional float64) {
	var n, o [4]float64
	copy(n[:], tab.normal)
	for i := range tab.mixed {
		mix := &tab.mixed[i]
		m := s.groupMass[mix.group]
		mass += m
		rest := m
		var q0, q1, q2, q3 float64
		p := tab.mixedP[4*int(mix.start) : 4*int(mix.end)]
		for _, set := range tab.mixedSet[mix.start:mix.end] {
			w := post[set]
			rest -= w
			row := (*[4]float64)(p)
			q0 += w * row[0]
			q1 += w * row[1]
			q2 += w * row[2]
			q3 += w * row[3]
			p = p[4:]
		}
		rest = max(0, rest)
		q0 += rest * n[0]
		q1 += rest * n[1]
		q2 += rest * n[2]
		q3 += rest * n[3]
		*(*[4]float64)(s.mixed[4*i : 4*i+4]) = [4]float64{q0, q1, q2, q3}
		o[0] += q0
		o[1] += q1
		o[2] += q2
		o[3] += q3
		if m < negligible {
			continue
		}
		conditional += s.massLog[mix.group] - xlogx(q0) - xlogx(q1)
		if tab.k > 2 {
			conditional -= xlogx(q2) + xlogx(q3)
		}
	}
	for j := range s.outcomeP[:tab.k] {
		s.outcomeP[j] += o[j]
	}
	return mass, conditional
}

// dot returns the sum of a[i] b[i], in four chains so that the adder is not
// waited for; b is at least as long as a.
func dot(a, b []float64) float64 {
	var s0, s1, s2, s3 float64
	b = b[:len(a)]
	i := 0
	for ; i+4 <= len(a); i += 4 {
		x, y := a[i:i+4:i+4], b[i:i+4:i+4]
		s0 += x[0] * y[0]
		s1 += x[1] * y[1]
		s2 += x[2] * y[2]
		s3 += x[3] * y[3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
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
