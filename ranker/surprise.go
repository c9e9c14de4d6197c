package ranker

import (
	"math"
	"slices"
)

// surpriseHigh is the surprise, in bits, from which findings are looked at for
// one that does not belong: one in sixteen beyond what was to be expected.
const surpriseHigh = 4

// SurpriseBits returns -log2 P(evidence) less the entropy of each finding as it
// was expected before it, in the order recorded.
func (b *Belief) SurpriseBits() float64 { return b.bits - b.expected }

// Suspect returns the finding whose removal raises P(the other findings) most
// against P(all), when the surprise is high and the findings are less likely
// together than apart (Jensen's conflict measure log2 prod P(f) / P(all) > 0;
// Jensen, Chamberlain, Nordahl and Jensen 1990); nil otherwise.
func (b *Belief) Suspect() *Suspect {
	if b.SurpriseBits() < surpriseHigh {
		return nil
	}
	var best *Suspect
	conflict, findings := b.bits, 0
	for i := range b.steps {
		s := &b.steps[i]
		if s.obs < 0 {
			continue
		}
		findings++
		alone, others := b.engine.logEvidence(s), b.engine.logEvidence(without1(b.steps, i)...)
		conflict += alone
		if gain := others + b.bits; best == nil || gain > best.Bits {
			best = &Suspect{Kind: s.finding.Kind, ID: s.finding.ID, Bits: gain}
		}
	}
	if findings < 2 || conflict <= 0 {
		return nil
	}
	return best
}

func without1(steps []step, i int) []*step {
	out := make([]*step, 0, len(steps))
	for j := range steps {
		if j != i {
			out = append(out, &steps[j])
		}
	}
	return out
}

// logEvidence returns log2 of the probability of the steps, in order.
func (e *Engine) logEvidence(steps ...*step) float64 {
	b := &Belief{engine: e}
	own := make([]step, len(steps))
	for i, s := range steps {
		own[i] = *s
	}
	if b.weigh(slices.Clip(own)) != nil {
		return math.Inf(-1)
	}
	return -b.bits
}
