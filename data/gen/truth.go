package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"sootsayer/kb"
)

// The truth behind the invented shop, which nobody in it knows. It differs from
// the base's shares so that learning has something to find. All of it is made
// up.
const (
	seed        = 1837
	calls       = 236 // first visits; callbacks come on top
	firstSeason = 2023
	seasons     = 3
)

// kind is what the shop knows of one family: how many of its sites have one,
// and how many times as often as the base says a cause is the root cause. The
// others vary a little at random.
type kind struct {
	family string
	sites  int
	models []string
	often  map[string]float64
}

var kinds = []kind{
	{"used-oil-heater", 30, []string{"uh-1", "uh-2"}, map[string]float64{
		"tank-water": 3.6, "flame-sensor-sooted": 2.4, "nozzle-plugged": 0.6, "tank-empty": 0.4,
	}},
	{"oil-furnace", 24, []string{"of-1"}, map[string]float64{
		"flame-sensor-sooted": 2.6, "tank-water": 2.2, "tank-empty": 0.3, "thermostat-batteries-dead": 0.5,
	}},
}

// Shares of calls that are something else than one listed cause.
const (
	unlistedShare = 0.04
	secondShare   = 0.03
	wrongShare    = 0.035 // closed with a wrong cause at first
)

// monthWeights are the calls of each month against each other, January first:
// most when the heat is switched on again, few in summer.
var monthWeights = [12]float64{1.4, 1.0, 0.7, 0.4, 0.15, 0.05, 0.05, 0.15, 0.8, 1.7, 1.9, 1.5}

// truth is one family as it is in the invented shop.
type truth struct {
	model  *kb.Model
	shares []float64 // by cause, summing to 1
	lots   []float64 // numbers from 0 to 1 that the next root causes are drawn by
}

// prepare draws the lots of n calls: one in each n-th part of the range, in no
// order, so that the jobs are near to the truth whatever else is drawn.
func (t *truth) prepare(rng *rand.Rand, n int) {
	t.lots = make([]float64, n)
	for i, at := range rng.Perm(n) {
		t.lots[i] = (float64(at) + rng.Float64()) / float64(n)
	}
}

// root draws a root cause.
func (t *truth) root(rng *rand.Rand) int {
	lot := rng.Float64()
	if len(t.lots) > 0 {
		lot, t.lots = t.lots[0], t.lots[1:]
	}
	return at(lot, t.shares)
}

// spread is how much the shares that kinds does not name vary: the standard
// deviation of their logarithm. A base is written from what somebody remembers
// of other places; to be off by a factor of two is usual.
const spread = 0.8

func newTruth(b *kb.Base, k *kind, rng *rand.Rand) (*truth, error) {
	m, err := kb.NewModel(b, k.family)
	if err != nil {
		return nil, err
	}
	for id := range k.often {
		if m.CauseIndex(id) < 0 {
			return nil, fmt.Errorf("gen/truth.go: the base has no cause %q of %s any more; name another", id, k.family)
		}
	}
	t := &truth{model: m, shares: make([]float64, len(m.Causes))}
	var sum float64
	for i := range m.Causes {
		times, named := k.often[m.Causes[i].ID]
		if !named {
			times = math.Exp(spread * rng.NormFloat64())
		}
		t.shares[i] = m.Causes[i].Share * times
		sum += t.shares[i]
	}
	for i := range t.shares {
		t.shares[i] /= sum
	}
	return t, nil
}

// fault draws the causes present when a call begins: the root and what it
// brought along, seldom two roots, none when the cause is not in the base.
func (t *truth) fault(rng *rand.Rand) map[int]bool {
	present := make(map[int]bool)
	if rng.Float64() < unlistedShare {
		return present
	}
	roots := 1
	if rng.Float64() < secondShare {
		roots = 2
	}
	var reached []int
	for len(present) < roots {
		root := t.root(rng)
		present[root], reached = true, append(reached, root)
	}
	for roots == 1 && len(reached) > 0 {
		from := reached[0]
		reached = reached[1:]
		for _, e := range t.model.Causes[from].Effects {
			if !present[e.Cause] && rng.Float64() < e.P {
				present[e.Cause], reached = true, append(reached, e.Cause)
			}
		}
	}
	return present
}

// outcome draws what a symptom or check shows of these causes: the worst of
// what each of them alone would show; of an unlisted cause what some listed one
// would show.
func (t *truth) outcome(rng *rand.Rand, o *kb.Observable, present map[int]bool) int {
	if len(present) == 0 {
		present = map[int]bool{draw(rng, t.shares): true}
	}
	worst, shown := 0, false
	for _, row := range o.Rows {
		if present[row.Cause] {
			worst, shown = max(worst, draw(rng, row.P)), true
		}
	}
	if !shown {
		return draw(rng, o.Normally)
	}
	return worst
}

// draw picks an index by weight.
func draw(rng *rand.Rand, weights []float64) int { return at(rng.Float64(), weights) }

// at is the index at which the weights before it reach a share of all of them.
func at(share float64, weights []float64) int {
	var sum float64
	for _, w := range weights {
		sum += w
	}
	left := share * sum
	for i, w := range weights {
		if left < w {
			return i
		}
		left -= w
	}
	return len(weights) - 1
}
