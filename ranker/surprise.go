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
	for i, g := range b.gains() {
		s := &b.steps[i]
		if s.obs < 0 {
			continue
		}
		findings++
		conflict += math.Log2(g.alone)
		if best == nil || g.without > best.Bits {
			best = &Suspect{Kind: s.finding.Kind, ID: s.finding.ID, Bits: g.without}
		}
	}
	if findings < 2 || conflict <= 0 {
		return nil
	}
	return best
}

// stepGain is what leaving one finding out would change.
type stepGain struct {
	alone   float64 // P(the finding) with nothing else known
	without float64 // log2 of P(the other steps) / P(all)
}

// gains returns the gain of every step; those of tried fixes are empty. The
// posterior divided by a finding's likelihood is the posterior without it, so
// that one pass does for all:
//
//	P(others) / P(all) = sum_h P(h | all) / P(finding | h)
//
// unless the finding rules out hypotheses altogether, which only a floor of 0
// allows; then the others are weighed anew.
func (b *Belief) gains() []stepGain {
	e := b.engine
	out := make([]stepGain, len(b.steps))
	lik := make([]float64, len(b.weight))
	now := make([]int32, len(b.weight))
	for h := range now {
		now[h] = int32(h)
	}
	for i := range b.steps {
		s := &b.steps[i]
		if s.obs < 0 {
			for h := range now {
				now[h], _ = e.afterFix(now[h], s.fix)
			}
			continue
		}
		e.tables[s.obs].likelihoods(s.weights, lik)
		out[i].alone = dot(e.hyp.prior, lik)
		var others float64
		for h, w := range b.weight {
			others += w / lik[now[h]]
		}
		if math.IsNaN(others) || slices.Contains(lik, 0) {
			out[i].without = e.logEvidence(leftOut(b.steps, i)) + b.bits
			continue
		}
		out[i].without = math.Log2(others)
	}
	return out
}

func leftOut(steps []step, i int) []step {
	return slices.Delete(slices.Clone(steps), i, i+1)
}

// logEvidence returns log2 of the probability of the steps, in order.
func (e *Engine) logEvidence(steps []step) float64 {
	b := &Belief{engine: e}
	if b.weigh(steps) != nil {
		return math.Inf(-1)
	}
	return -b.bits
}
