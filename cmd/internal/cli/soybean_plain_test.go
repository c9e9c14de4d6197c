package cli_test

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// plainBayes is naive Bayes written down as in a textbook, slow and apart from
// the program: shares (n + a) / (N + causes a), tables (n + b) / (N + levels b)
// with b by the number of levels.
type plainBayes struct {
	d      *soyCases
	share  float64                  // a
	level  func(levels int) float64 // b
	causes []float64                // n by cause
	tables [][][]float64            // n by cause, observation, level
}

// addTo smooths every level by the same count: 1 for Laplace's rule, 1/2 for
// that of Krichevsky and Trofimov.
func addTo(count float64) func(int) float64 { return func(int) float64 { return count } }

// worth smooths by a uniform table that counts as so many cases, as the
// program's table_strength does.
func worth(cases float64) func(int) float64 {
	return func(levels int) float64 { return cases / float64(levels) }
}

func newPlainBayes(d *soyCases, share float64, level func(int) float64) *plainBayes {
	p := &plainBayes{d: d, share: share, level: level, causes: make([]float64, len(d.causes))}
	for range d.causes {
		var tables [][]float64
		for _, levels := range d.levels {
			tables = append(tables, make([]float64, len(levels)))
		}
		p.tables = append(p.tables, tables)
	}
	for i := range d.training {
		p.count(&d.training[i], 1)
	}
	return p
}

// count adds a case, or takes it back with -1.
func (p *plainBayes) count(c *soyCase, sign float64) {
	p.causes[c.cause] += sign
	for _, s := range c.recorded() {
		p.tables[c.cause][s.observation][s.level] += sign
	}
}

// chance is that of a level of an observation given a cause.
func (p *plainBayes) chance(cause int, s seenLevel) float64 {
	n := p.tables[cause][s.observation]
	b := p.level(len(n))
	return (n[s.level] + b) / (floats.Sum(n) + b*float64(len(n)))
}

// posterior returns the chances of the causes.
func (p *plainBayes) posterior(seen []seenLevel) []float64 {
	logs := make([]float64, len(p.causes))
	for c := range logs {
		logs[c] = math.Log((p.causes[c] + p.share) / (floats.Sum(p.causes) + p.share*float64(len(p.causes))))
		for _, s := range seen {
			logs[c] += math.Log(p.chance(c, s))
		}
	}
	most := slices.Max(logs)
	for c := range logs {
		logs[c] = math.Exp(logs[c] - most)
	}
	floats.Scale(1/floats.Sum(logs), logs)
	return logs
}

// gain is the information in bits that observation j is expected to give.
func (p *plainBayes) gain(chances []float64, j int) float64 {
	mean := make([]float64, len(p.d.levels[j]))
	row := make([]float64, len(mean))
	var left float64
	for c, chance := range chances {
		for k := range row {
			row[k] = p.chance(c, seenLevel{j, k})
		}
		left += chance * entropyBits(row)
		floats.AddScaled(mean, chance, row)
	}
	return entropyBits(mean) - left
}

// order lists the observations that were not made by falling gain.
func (p *plainBayes) order(seen []seenLevel) []int {
	chances := p.posterior(seen)
	gains := make(map[int]float64)
	var list []int
	for j := range p.d.observations {
		if !slices.ContainsFunc(seen, func(s seenLevel) bool { return s.observation == j }) {
			list = append(list, j)
			gains[j] = p.gain(chances, j)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(gains[b], gains[a]) })
	return list
}

// leaveOneOut is the mean log loss in bits of the training cases, each foretold
// from all the others.
func (p *plainBayes) leaveOneOut() float64 {
	var bits float64
	for i := range p.d.training {
		c := &p.d.training[i]
		p.count(c, -1)
		bits -= math.Log2(p.posterior(c.recorded())[c.cause])
		p.count(c, 1)
	}
	return bits / float64(len(p.d.training))
}

func entropyBits(p []float64) (h float64) {
	for _, v := range p {
		if v > 0 {
			h -= v * math.Log2(v)
		}
	}
	return h
}
