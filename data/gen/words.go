package main

import (
	"math/rand/v2"
	"slices"
	"strings"

	"sootsayer/kb"
)

// How a complaint begins, goes on and ends besides what is said of the fault.
var (
	begins = []string{"", "", "", "", "", "customer says ", "tenant: ", "shop foreman: "}
	joins  = []string{", ", " and ", ", also ", "; "}
	ends   = []string{"", "", "", "", "", ", since yesterday", ", since the cold came", ", second time this week", ", please come today"}
)

// complain draws what the customer sees and brings up: what the fault shows
// first, then what is there besides.
func (c *call) complain() {
	m := c.truth.model
	var seen, other []int
	for i := range m.Observables {
		o := &m.Observables[i]
		if o.Kind != kb.KindSymptom || c.outcome(i) == 0 {
			continue
		}
		if slices.ContainsFunc(o.Rows, func(row kb.ModelRow) bool { return c.present[row.Cause] && row.P[1] > 0.3 }) {
			seen = append(seen, i)
		} else {
			other = append(other, i)
		}
	}
	c.rng.Shuffle(len(seen), func(i, j int) { seen[i], seen[j] = seen[j], seen[i] })
	c.spoken = append(seen, other...)
	if len(c.spoken) == 0 {
		c.spoken = []int{c.typical()}
	}
	c.spoken = c.spoken[:min(len(c.spoken), 1+c.rng.IntN(mostSpoken))]
	for _, i := range c.spoken {
		c.shows[i] = 1
		c.record(kb.Finding{Kind: kb.KindSymptom, ID: m.Observables[i].ID, Outcome: kb.Yes})
	}
}

// typical is the symptom that the fault shows most often; of an unlisted one
// what is most often seen at all.
func (c *call) typical() int {
	best, most := 0, -1.0
	for i := range c.truth.model.Observables {
		o := &c.truth.model.Observables[i]
		if o.Kind != kb.KindSymptom {
			continue
		}
		p := o.Normally[1]
		for _, row := range o.Rows {
			if c.present[row.Cause] {
				p = max(p, row.P[1])
			}
		}
		if p > most {
			best, most = i, p
		}
	}
	return best
}

// complaint says symptoms in a customer's words.
func (c *call) complaint(b *kb.Base, rng *rand.Rand) string {
	var said []string
	for _, i := range c.spoken {
		o := &c.truth.model.Observables[i]
		text := strings.ToLower(o.Name)
		if s, ok := b.Symptom(o.ID); ok && len(s.Phrases) > 0 {
			text = s.Phrases[rng.IntN(len(s.Phrases))]
		}
		said = append(said, text)
	}
	return pick(rng, begins) + strings.Join(said, pick(rng, joins)) + pick(rng, ends)
}

func pick(rng *rand.Rand, list []string) string { return list[rng.IntN(len(list))] }
