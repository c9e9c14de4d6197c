package ranker

import (
	"cmp"
	"math"
	"slices"
)

// fewFixes is up to how many fixes insertion sort beats a general one.
const fewFixes = 200

// repairOrder sorts order, a permutation of the fixes, by falling ratio
// p/minutes with ties by id (Kadane and Simon 1977; Heckerman, Breese and
// Rommelse 1995). A fix that cannot be done has infinite minutes, ratio 0, and
// comes last. The order is nearly right from the last time, which insertion
// sort makes use of; nothing is allocated.
func repairOrder(order []int32, ratio []float64, fixID []int32) {
	if len(order) > fewFixes {
		slices.SortFunc(order, func(a, b int32) int {
			return cmp.Or(cmp.Compare(ratio[b], ratio[a]), cmp.Compare(fixID[a], fixID[b]))
		})
		return
	}
	for i := 1; i < len(order); i++ {
		f, r, id := order[i], ratio[order[i]], fixID[order[i]]
		j := i
		for j > 0 && (ratio[order[j-1]] < r || ratio[order[j-1]] == r && fixID[order[j-1]] > id) {
			order[j] = order[j-1]
			j--
		}
		order[j] = f
	}
}

// repairMinutes returns R(e), the expected minutes to a cure without another
// check, and k, the number of fixes after which the shop escalates:
//
//	R(e) = min over k of sum_{i<=k} m(f_i) P(not cured before i)
//	       + P(not cured by k) escalation
//
// order lists the fixes as they are done, minutes their m(f) by fix, and
// curedAt[i] the chance that the i-th of them completes the cure.
func repairMinutes(order []int32, minutes, curedAt []float64, escalation float64) (r float64, k int) {
	left, cost := 1.0, 0.0
	r = escalation
	for i, f := range order {
		if cost >= r || math.IsInf(minutes[f], 1) {
			break // going on only adds to the cost
		}
		cost += minutes[f] * left
		left = math.Max(0, left-curedAt[i])
		if total := cost + left*escalation; total < r {
			r, k = total, i+1
		}
	}
	return r, k
}
