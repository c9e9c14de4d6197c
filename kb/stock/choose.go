package stock

import "slices"

// priorMonths is how many months of its own past the losses of a part's class
// count against those of the part. On the car parts the loss of what is chosen
// falls until about 200 and hardly after: a part's own past says little about
// which method suits it.
const priorMonths = 200

// choose returns the method with the least expected loss: its loss on the part's
// own past, pulled towards how it did on all parts of that class. With r the
// method's loss relative to the others' in the class and s the part's loss a month
// by the middle one of the methods, that is the one with the least
//
//	priorMonths r s + sum of its losses
//
// (s is the median, so that a method that is far out for the part lends no weight
// to what was so elsewhere.)
//
// A part that never sold is no proof that nothing will be needed: for it the
// base's knowledge is taken, else what does best on all parts.
func (f *Forecaster) choose(class Class, r *rolling) int {
	if class == NeverSold && len(r.sums) > common {
		return common
	}
	relative := f.relative[class.kind()]
	sorted := slices.Sorted(slices.Values(r.sums[:common]))
	scale := sorted[common/2] / float64(max(1, r.months))
	if class == NeverSold || scale == 0 {
		return leastOf(f.overall[:len(r.sums)])
	}
	scores := make([]float64, len(r.sums))
	for j, sum := range r.sums {
		scores[j] = priorMonths*relative[j]*scale + sum
	}
	return leastOf(scores)
}

func leastOf(x []float64) int {
	best := 0
	for j, v := range x {
		if v < x[best] {
			best = j
		}
	}
	return best
}
