package stock

import (
	"hash/fnv"
	"math"
	"slices"
)

// What the levels are before anything was seen: demands spread evenly (in the
// logarithm) from almost none to the busiest part's, each as negative binomials
// of two spreads; a part stays where it is with stayChance. The worths are in
// months of one part.
const (
	levelCount   = 6
	leastLevel   = 0.01
	lowLevel     = 0.08
	highLevel    = 2.5
	stayChance   = 0.97
	stayWorth    = 10
	bringsWorth  = 50
	firstWorth   = 2
	fitRounds    = 40
	fitParts     = 1000 // more parts than these say nothing new about what all share
	fitTolerance = 1e-5 // of the log likelihood of a month
	strange      = 1e-4 // chance at every level of just any number of pieces
)

var levelSpreads = [...]float64{1.1, 2.5}

// startingLevels returns the levels before anything was seen.
func startingLevels(parts []History, season Season) *Levels {
	var means []float64
	for i := range parts {
		var pieces, months float64
		for _, n := range parts[i].Pieces {
			if n >= 0 {
				pieces += float64(n)
				months++
			}
		}
		if months > 0 {
			means = append(means, pieces/months)
		}
	}
	high := highLevel
	if slices.Sort(means); len(means) > 0 {
		high = min(Outputs/3, max(high, means[len(means)*49/50]))
	}
	states := levelCount * len(levelSpreads)
	l := &Levels{Season: season, States: states, First: make([]float64, states),
		Move: make([]float64, states*states), Brings: make([]float64, states*Outputs)}
	for k := range states {
		mean := leastLevel
		if i := k % levelCount; i > 0 {
			mean = lowLevel * math.Pow(high/lowLevel, float64(i-1)/(levelCount-2))
		}
		for n, p := range overdispersed(mean, levelSpreads[k/levelCount], nil) {
			l.Brings[k*Outputs+min(n, Outputs-1)] += (1 - strange) * p
		}
		for n := range Outputs {
			l.Brings[k*Outputs+n] += strange / Outputs
		}
		l.First[k] = 1 / float64(states)
		for j := range states {
			l.Move[k*states+j] = (1 - stayChance) / float64(states)
		}
		l.Move[k*states+k] += stayChance
	}
	return l
}

// FitLevels learns the levels of all parts from their histories by expectation
// and maximisation (Baum and others 1970; Dempster, Laird and Rubin 1977), from
// a starting point that counts as Dirichlet priors. Of many parts a sample
// chosen by name is enough. Parts may be in any order.
func FitLevels(parts []History, season Season, workers int) *Levels {
	parts = sample(parts, fitParts)
	l := startingLevels(parts, season)
	prior := l.priorCounts()
	var before float64
	for round := range fitRounds {
		sum := l.counted(parts, workers)
		sum.add(prior)
		l = sum.levels(season)
		gained := sum.logLikelihood - before
		if round > 0 && gained < fitTolerance*sum.months {
			break
		}
		before = sum.logLikelihood
	}
	return l
}

// sample picks at most n parts by a hash of their names.
func sample(parts []History, n int) []History {
	sorted := byPart(parts)
	if len(sorted) <= n {
		return sorted
	}
	hash := make(map[string]uint64, len(sorted))
	for i := range sorted {
		f := fnv.New64a()
		f.Write([]byte(sorted[i].Part))
		hash[sorted[i].Part] = f.Sum64()
	}
	slices.SortStableFunc(sorted, func(a, b History) int {
		switch x, y := hash[a.Part], hash[b.Part]; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return byPart(sorted[:n])
}
