package ranker

import (
	"math"

	"sootsayer/kb"
)

// appendRatios appends Z_c(j) = min over i >= j of min(1, Q_c(i)/N(i)) for a
// row, with Q_c and N the cumulative distributions of the row and of
// 'normally', and 0/0 counted as 1.
func appendRatios(all, row, normally []float64) []float64 {
	n := len(all)
	all = append(all, row...)
	z := all[n:]
	var q, sum float64
	for j := range row {
		q += row[j]
		sum += normally[j]
		z[j] = 1
		if q < sum {
			z[j] = q / sum
		}
	}
	for j := len(z) - 2; j >= 0; j-- {
		z[j] = min(z[j], z[j+1])
	}
	return all
}

// combine writes into p the outcome distribution of several causes together,
// F_S(j) = N(j) prod Z_c(j): the leaky noisy-MAX of Henrion (1989) and
// Diez (1993), outcomes ordered from normal to ever further from it.
func combine(p, normally []float64, zs [][]float64) {
	var n, before float64
	for j := range p {
		n += normally[j]
		f := n
		for _, z := range zs {
			f *= z[j]
		}
		p[j] = math.Max(0, f-before)
		before = f
	}
}

// applyFloor raises every outcome to at least floor and renormalises.
func applyFloor(p []float64, floor float64) {
	var sum float64
	for j := range p {
		p[j] = max(p[j], floor)
		sum += p[j]
	}
	if sum <= 0 {
		return
	}
	for j := range p {
		p[j] /= sum
	}
}

// meanRow writes into p the unlisted cause's distribution: the mean over the
// family's causes, weighted by share, of their rows, 'normally' standing in
// for a cause without one.
func meanRow(p []float64, o *kb.Observable, causes []kb.ModelCause) {
	rest := 1.0
	clear(p)
	for _, row := range o.Rows {
		w := causes[row.Cause].Share
		rest -= w
		for j, v := range row.P {
			p[j] += w * v
		}
	}
	for j, v := range o.Normally {
		p[j] += max(0, rest) * v
	}
}

// entropy returns -sum p log2 p in bits.
func entropy(p []float64) float64 {
	var h float64
	for _, v := range p {
		if v > 0 {
			h -= v * math.Log2(v)
		}
	}
	return max(0, h)
}
