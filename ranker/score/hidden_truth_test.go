package score

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// How far the hidden truth lies from the base: as far as the base said of itself
// when this was written, in jobs that its numbers are worth. They are written
// down here so that other settings do not make another truth.
const (
	shareSpread    = 0.7  // standard deviation of the logarithm of hidden over authored shares
	tableWorth     = 16   // of the Dirichlet around each row
	chanceWorth    = 100  // of the Beta around each effect and cure
	minutesWorth   = 5    // of minutes
	hiddenKappa    = 100  // of the Dirichlet around the family's shares that each model's come from
	hiddenUnlisted = 0.06 // the base says 0.04
	hiddenSecond   = 0.08 // the base says 0.05, where there are second faults
)

// The drift: causes that are neither rare nor among the commonest grow.
const (
	grownCauses = 2
	grownTimes  = 4
	leastGrown  = 0.01 // share of the family's jobs before
	mostGrown   = 0.03
)

// truth is what the heaters of one family are really like, which nobody in the
// simulated shop knows. All of it is invented.
type truth struct {
	plan   *plan
	family *kb.Model // all models together, before the drift
	grown  []int
	worlds [2][]*world // before and since the drift, by equipment model
}

// world is the truth about the heaters of one model at one time.
type world struct {
	*kb.Model
	knows *ranker.Engine // the advice of who knows it
}

func newTruth(tb testing.TB, b *kb.Base, p *plan) *truth {
	rng := rand.New(rand.NewPCG(p.seed, 1))
	m, err := kb.NewModel(b, p.family)
	if err != nil {
		tb.Fatal(err)
	}
	redraw(rng, m)
	t := &truth{plan: p, family: m}
	var own [][]float64
	for range p.models {
		own = append(own, dirichletAround(rng, hiddenKappa, sharesOf(m)))
		t.worlds[0] = append(t.worlds[0], newWorld(m, own[len(own)-1]))
	}
	t.grow(rng, own)
	for _, shares := range own {
		t.worlds[1] = append(t.worlds[1], newWorld(m, shares))
	}
	return t
}

// grow chooses the causes that grow, by their mean share over the models, and
// lets them.
func (t *truth) grow(rng *rand.Rand, own [][]float64) {
	for _, i := range rng.Perm(len(t.family.Causes)) {
		var share float64
		for _, shares := range own {
			share += shares[i] / float64(len(own))
		}
		if len(t.grown) == grownCauses || share < leastGrown || share > mostGrown {
			continue
		}
		t.grown = append(t.grown, i)
		for _, shares := range own {
			shares[i] *= grownTimes
		}
	}
}

// newWorld is the family with shares of its own, which need not sum to 1.
func newWorld(m *kb.Model, shares []float64) *world {
	own := *m
	own.Causes = slices.Clone(m.Causes)
	var all float64
	for _, s := range shares {
		all += s
	}
	for i := range shares {
		own.Causes[i].Share = shares[i] / all
	}
	return &world{&own, ranker.New(&own)}
}

func sharesOf(m *kb.Model) []float64 {
	shares := make([]float64, len(m.Causes))
	for i := range shares {
		shares[i] = m.Causes[i].Share
	}
	return shares
}

// era is 0 before the drift and 1 since.
func (t *truth) era(at time.Time) int {
	if at.Before(t.plan.driftFrom) {
		return 0
	}
	return 1
}

// redraw gives every number of a model its hidden value.
func redraw(rng *rand.Rand, m *kb.Model) {
	var all float64
	for i := range m.Causes {
		c := &m.Causes[i]
		c.Share *= math.Exp(shareSpread * rng.NormFloat64())
		all += c.Share
		for j := range c.Effects {
			c.Effects[j].P = betaAround(rng, chanceWorth, c.Effects[j].P)
		}
	}
	for i := range m.Causes {
		m.Causes[i].Share /= all
	}
	m.Unlisted = hiddenUnlisted
	if m.SecondFault > 0 {
		m.SecondFault = hiddenSecond
	}
	times := func() float64 { return math.Exp(math.Sqrt(minutesVariance/minutesWorth) * rng.NormFloat64()) }
	for i := range m.Fixes {
		m.Fixes[i].Cures = betaAround(rng, chanceWorth, m.Fixes[i].Cures)
		m.Fixes[i].Minutes *= times()
	}
	for i := range m.Observables {
		o := &m.Observables[i]
		o.Minutes *= times()
		o.Normally = dirichletAround(rng, tableWorth, o.Normally)
		for r := range o.Rows {
			o.Rows[r].P = dirichletAround(rng, tableWorth, o.Rows[r].P)
		}
	}
}

// minutesVariance is that of the logarithm of minutes with a coefficient of
// variation of a half, which is what the base's minutes stand for.
var minutesVariance = math.Log1p(0.5 * 0.5)

// dirichletAround draws from a Dirichlet with a mean and a concentration: gamma
// variables over their sum. What the mean holds impossible stays so.
func dirichletAround(rng *rand.Rand, concentration float64, mean []float64) []float64 {
	p := make([]float64, len(mean))
	var sum float64
	for sum == 0 { // gammas of tiny shapes may all round to 0
		for j, m := range mean {
			if m > 0 {
				p[j] = distuv.Gamma{Alpha: concentration * m, Beta: 1, Src: rng}.Rand()
			}
			sum += p[j]
		}
	}
	for j := range p {
		p[j] /= sum
	}
	return p
}

func betaAround(rng *rand.Rand, concentration, mean float64) float64 {
	return dirichletAround(rng, concentration, []float64{mean, 1 - mean})[0]
}
