package score

import (
	"math/rand/v2"
	"slices"

	"sootsayer/kb"
)

// trouble is a heater that broke down. What it shows and whether a fix holds is
// decided by lots drawn beforehand, so that whoever works on it, by whatever
// advice, meets the same.
type trouble struct {
	world   *world
	roots   []int // none when the cause is not listed
	present []int // causes still there, sorted

	shown []int     // outcome of each symptom and check; -1 before it was looked at
	lots  []float64 // for them
	holds []float64 // for the fixes, each time that they are done
}

// mostDone is how often a fix is done before its lots come round again.
const mostDone = 4

// breakDown draws a trouble as the contract's section 4 has it: a root by the
// shares with the effects that it brings along, or two roots, or none.
func breakDown(rng *rand.Rand, w *world) *trouble {
	shares := sharesOf(w.Model)
	listed, second := rng.Float64() >= w.Unlisted, rng.Float64() < w.SecondFault
	a, b := quantile(shares, rng.Float64()), quantile(shares, rng.Float64())
	switch {
	case !listed:
		return newTrouble(rng, w, nil, nil)
	case second:
		for a == b { // both anew, so that pairs come by the product of their shares
			a, b = quantile(shares, rng.Float64()), quantile(shares, rng.Float64())
		}
		return newTrouble(rng, w, []int{a, b}, []int{a, b})
	}
	present := []int{a}
	for i := 0; i < len(present); i++ {
		for _, e := range w.Causes[present[i]].Effects {
			if rng.Float64() < e.P && !slices.Contains(present, e.Cause) {
				present = append(present, e.Cause)
			}
		}
	}
	return newTrouble(rng, w, []int{a}, present)
}

// newTrouble draws the lots of a trouble with these causes.
func newTrouble(rng *rand.Rand, w *world, roots, present []int) *trouble {
	t := &trouble{world: w, roots: roots, present: slices.Sorted(slices.Values(present)), shown: make([]int, len(w.Observables)),
		lots: make([]float64, len(w.Observables)), holds: make([]float64, mostDone*len(w.Fixes))}
	for i := range t.shown {
		t.shown[i], t.lots[i] = -1, rng.Float64()
	}
	for i := range t.holds {
		t.holds[i] = rng.Float64()
	}
	return t
}

// names are the ids of the causes that are there, as a closing names them.
func (t *trouble) names() []string {
	if len(t.present) == 0 {
		return []string{kb.Unlisted}
	}
	ids := make([]string, len(t.present))
	for i, c := range t.present {
		ids[i] = t.world.Causes[c].ID
	}
	return ids
}

// classes are the root causes as forecasts count them.
func (t *trouble) classes() []int {
	if len(t.roots) == 0 {
		return []int{len(t.world.Causes)}
	}
	return t.roots
}

// show is what a symptom or check shows, the same however often it is done.
func (t *trouble) show(obs int) int {
	if t.shown[obs] < 0 {
		t.shown[obs] = quantile(t.table(&t.world.Observables[obs]), t.lots[obs])
	}
	return t.shown[obs]
}

// table is the distribution of outcomes given the causes that are there, the
// contract's section 4 written down plainly. The unlisted cause shows what a
// random listed one would, drawn anew for each symptom and check.
func (t *trouble) table(o *kb.Observable) []float64 {
	p := slices.Clone(o.Normally)
	var rows [][]float64
	for _, row := range o.Rows {
		if len(t.present) == 0 {
			for j := range p {
				p[j] += t.world.Causes[row.Cause].Share * (row.P[j] - o.Normally[j])
			}
		} else if slices.Contains(t.present, row.Cause) {
			rows = append(rows, row.P)
		}
	}
	switch len(rows) {
	case 0:
	case 1:
		copy(p, rows[0])
	default:
		together(p, o.Normally, rows)
	}
	var sum float64
	for j := range p {
		p[j] = max(p[j], t.world.Floor)
		sum += p[j]
	}
	for j := range p {
		p[j] /= sum
	}
	return p
}

// together is the leaky noisy-MAX of several rows: F(j) = N(j) prod Z(j), with
// Z(j) the least over i >= j of min(1, Q(i)/N(i)), 0/0 being 1.
func together(p, normally []float64, rows [][]float64) {
	var before float64
	for j := range p {
		f := upTo(normally, j)
		for _, row := range rows {
			z := 1.0
			for i := j; i < len(row); i++ {
				if q, n := upTo(row, i), upTo(normally, i); q < n {
					z = min(z, q/n)
				}
			}
			f *= z
		}
		p[j] = max(0, f-before)
		before = f
	}
}

// upTo is the chance of the outcomes up to one.
func upTo(p []float64, j int) (sum float64) {
	for _, v := range p[:j+1] {
		sum += v
	}
	return sum
}

// quantile is the index at which the weights before it reach a lot from 0 to 1,
// as a share of them all.
func quantile(weights []float64, lot float64) int {
	left := lot * upTo(weights, len(weights)-1)
	for k, w := range weights {
		if left < w {
			return k
		}
		left -= w
	}
	return len(weights) - 1
}
