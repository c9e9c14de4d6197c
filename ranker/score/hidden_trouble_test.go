package score

import (
	"math/rand/v2"
	"slices"

	"sootsayer/kb"
)

// trouble is a heater that broke down. Every chance event has its own lot, drawn
// beforehand, so that whoever works on it, by whatever advice, finds the same.
type trouble struct {
	world   *world
	model   int   // of the equipment
	roots   []int // none when the cause is not listed
	present []int // causes still there, sorted
	ask     []int // symptoms that the dispatcher asks about

	found []float64 // lots of the symptoms and checks
	holds []float64 // lots of the fixes, for each time that they are done
	shown map[int]int
	rng   *rand.Rand // for everything else
}

// mostDone is how often a fix is done at most before a lot comes round again.
const mostDone = 4

// breakDown draws a trouble of a world: roots by the shares and what a single
// one brings along, as in the contract's section 4.
func breakDown(rng *rand.Rand, w *world) *trouble {
	t := &trouble{world: w, shown: make(map[int]int), rng: rng}
	t.found, t.holds = make([]float64, len(w.Observables)), make([]float64, mostDone*len(w.Fixes))
	for _, lots := range [][]float64{t.found, t.holds} {
		for i := range lots {
			lots[i] = rng.Float64()
		}
	}
	listed, second := rng.Float64() >= w.Unlisted, rng.Float64() < w.SecondFault
	shares := make([]float64, len(w.Causes))
	for i := range shares {
		shares[i] = w.Causes[i].Share
	}
	a, b := draw(rng, shares), draw(rng, shares)
	switch {
	case !listed:
		return t
	case second:
		for a == b { // so that a pair comes with the product of its shares
			a, b = draw(rng, shares), draw(rng, shares)
		}
		t.roots = []int{a, b}
		t.present = []int{min(a, b), max(a, b)}
		return t
	}
	t.roots, t.present = []int{a}, []int{a}
	for i := 0; i < len(t.present); i++ {
		for _, e := range w.Causes[t.present[i]].Effects {
			if rng.Float64() < e.P && !slices.Contains(t.present, e.Cause) {
				t.present = append(t.present, e.Cause)
			}
		}
	}
	slices.Sort(t.present)
	return t
}

// names are the ids of the causes that are there.
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

// class is the root cause as forecasts count it; of two roots the one drawn
// first.
func (t *trouble) class() int {
	if len(t.roots) == 0 {
		return len(t.world.Causes)
	}
	return t.roots[0]
}

// show is the outcome of a symptom or check, the same however often it is done.
func (t *trouble) show(obs int) int {
	o, known := t.shown[obs]
	if !known {
		o = quantile(t.table(&t.world.Observables[obs]), t.found[obs])
		t.shown[obs] = o
	}
	return o
}

// table is the distribution of outcomes given the causes that are there: the
// contract's noisy-MAX written down plainly. The unlisted cause shows what a
// random listed one would, anew for each observable.
func (t *trouble) table(o *kb.Observable) []float64 {
	p := slices.Clone(o.Normally)
	var rows [][]float64
	for _, row := range o.Rows {
		if len(t.present) == 0 {
			share := t.world.Causes[row.Cause].Share
			for j := range row.P {
				p[j] += share * (row.P[j] - o.Normally[j])
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
		var before float64
		for j := range p {
			f := upTo(o.Normally, j)
			for _, row := range rows {
				f *= ratio(row, o.Normally, j)
			}
			p[j] = max(0, f-before)
			before = f
		}
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

// ratio is Z(j), the least over i >= j of min(1, Q(i)/N(i)), 0/0 being 1.
func ratio(row, normally []float64, j int) float64 {
	z := 1.0
	for i := j; i < len(row); i++ {
		if q, n := upTo(row, i), upTo(normally, i); q < n {
			z = min(z, q/n)
		}
	}
	return z
}

// upTo is the cumulative distribution.
func upTo(p []float64, j int) (sum float64) {
	for _, v := range p[:j+1] {
		sum += v
	}
	return sum
}

// quantile is the index at which the chances before it reach a lot from 0 to 1.
func quantile(p []float64, lot float64) int {
	for k, v := range p {
		if lot -= v; lot < 0 {
			return k
		}
	}
	return len(p) - 1
}
