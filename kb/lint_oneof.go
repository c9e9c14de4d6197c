package kb

import (
	"fmt"
	"slices"
	"strconv"
)

// oneOf reports parts of a fix of which one is used at most, but whose chances
// on some family's equipment sum to more than 1.
func (l *linter) oneOf(f *Fix) {
	told := map[string]bool{}
	for i, p := range f.Parts {
		if p.OneOf == "" || told[p.OneOf] {
			continue
		}
		for _, family := range append(slices.Clone(p.Families), "") {
			var sum float64
			var n int
			for _, q := range f.PartsFor(family) {
				if q.OneOf == p.OneOf {
					sum += q.Chance
					n++
				}
			}
			if sum > 1+1e-9 {
				told[p.OneOf] = true
				l.wrong(f, valueAt("parts", strconv.Itoa(i), "one_of"), fmt.Sprintf("the chances of the %d parts of %q sum to %g, but one of them is used at most", n, p.OneOf, sum), "make them sum to 1 or less")
				break
			}
		}
	}
}
