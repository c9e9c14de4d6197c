package cli_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// diagnoser foretells the cause of a case and says what to look at next.
type diagnoser interface {
	posterior(seen []seenLevel) []float64 // chances of the causes
	order(seen []seenLevel) []int         // observations not made yet, the best first
}

// askedAfter are the numbers of observations after which the cause is named.
var askedAfter = [...]int{1, 2, 3, 5}

// soyFigures are what a diagnoser is measured by. Parts right are in percent.
type soyFigures struct {
	right   float64                  // the likeliest cause is the true one, with all observations
	logLoss float64                  // mean of -log2 P(true cause), in bits
	asked   [len(askedAfter)]float64 // right after so many observations, best first
	random  [len(askedAfter)]float64 // the same with observations picked at random
}

func (f soyFigures) String() string {
	return fmt.Sprintf("%5.2f %% right, %.3f bits; asked %.1f; at random %.1f", f.right, f.logLoss, f.asked, f.random)
}

// measure diagnoses cases with all their observations, with the best first, and
// in `draws` random orders (0 leaves that out).
func measure(who diagnoser, cases []soyCase, draws int) soyFigures {
	var f soyFigures
	each := 100 / float64(len(cases))
	for i := range cases {
		c := &cases[i]
		chances := who.posterior(c.recorded())
		f.logLoss -= math.Log2(chances[c.cause]) / float64(len(cases))
		if floats.MaxIdx(chances) == c.cause {
			f.right += each
		}
		addRight(&f.asked, who, c, ask(who, c), each)
		r := rand.New(rand.NewPCG(1980, uint64(i)))
		for range draws {
			seen := slices.Clone(c.recorded())
			r.Shuffle(len(seen), func(i, j int) { seen[i], seen[j] = seen[j], seen[i] })
			addRight(&f.random, who, c, seen, each/float64(draws))
		}
	}
	return f
}

// addRight adds `each` wherever the first observations name the right cause. A
// case that has fewer is judged by all it has.
func addRight(right *[len(askedAfter)]float64, who diagnoser, c *soyCase, seen []seenLevel, each float64) {
	for i, n := range askedAfter {
		if floats.MaxIdx(who.posterior(seen[:min(n, len(seen))])) == c.cause {
			right[i] += each
		}
	}
}

// ask makes the first observation of the list that the case has, five times.
func ask(who diagnoser, c *soyCase) (seen []seenLevel) {
	for range slices.Max(askedAfter[:]) {
		list := who.order(seen)
		at := slices.IndexFunc(list, func(j int) bool { return c.levels[j] != notRecorded })
		if at < 0 {
			break
		}
		seen = append(seen, seenLevel{list[at], c.levels[list[at]]})
	}
	return seen
}
