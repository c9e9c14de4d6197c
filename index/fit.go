package index

import (
	"math"
	"slices"
)

// fit is how well a symptom's best saying fits a complaint.
type fit struct {
	symptom  int
	saying   int
	score    float64 // 1 for a phrase said word for word; learned ones may go beyond
	elements []int   // numbers of the complaint's elements that it rests on
	explains []int   // numbers of the elements that any saying of the symptom holds
	against  bool    // the complaint says the opposite of part of it, or may say so
}

// The score of a saying against a run of clauses of a complaint is
//
//	factor * said^0.8 * explained^0.35 * min(1, telling)^0.5
//
// said being the share of the saying's weight that stands in the complaint,
// explained the share of the run's weight that the saying holds, and telling
// the weight found against one word that two symptoms hold. The exponents were
// tuned on the complaints in testdata/complaints.txt.
const (
	powerSaid      = 0.8
	powerExplained = 0.35
	powerTelling   = 0.5
	contradicted   = 0.35 // factor when the complaint says the opposite
	contraryShare  = 0.25 // of a saying's weight that has to be contradicted for that
	shadowShare    = 0.5  // of what was said that has to stand behind a "no" to be in doubt
)

// match returns the best fit of every symptom of the family that shares a word
// with the question.
func (m *matcher) match(q question, family string) []fit {
	words := m.hear(q)
	if len(words) == 0 {
		return nil
	}
	runs := clauseRuns(words)
	best, explains := map[int]fit{}, map[int][]int{}
	for _, s := range m.candidates(words) {
		symptom := m.sayings[s].symptom
		if families := m.families[symptom]; family != "" && len(families) > 0 && !slices.Contains(families, family) {
			continue
		}
		pairs := m.pair(words, s)
		for _, p := range pairs {
			if !p.against {
				explains[symptom] = append(explains[symptom], p.word)
			}
		}
		for _, r := range runs {
			f := m.compare(words, s, pairs, r)
			if old, ok := best[symptom]; f.score > 0 && (!ok || f.score > old.score) {
				best[symptom] = f
			}
		}
	}
	out := make([]fit, 0, len(best))
	for i := range m.symptoms {
		if f, ok := best[i]; ok {
			f.explains = explains[i]
			out = append(out, f)
		}
	}
	return out
}

// candidates lists the sayings that share a key with the words, in order.
func (m *matcher) candidates(words []heard) []int {
	var out []int
	for _, w := range words {
		for _, k := range w.keys {
			out = append(out, m.holding[k.text]...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// pairing says that an element of a saying stands in the complaint as word, with
// what quality; against says that the complaint holds its opposite.
type pairing struct {
	element, word int
	quality       float64
	against       bool
}

// pair lists where the elements of a saying stand in the complaint.
func (m *matcher) pair(words []heard, saying int) []pairing {
	var out []pairing
	for i, e := range m.sayings[saying].elements {
		for j, w := range words {
			for _, k := range w.keys {
				if k.text == e.key {
					out = append(out, pairing{i, j, k.quality, w.negated != e.negated})
					break
				}
			}
		}
	}
	return out
}

// compare scores a saying against a run of clauses.
func (m *matcher) compare(words []heard, saying int, pairs []pairing, r run) fit {
	s := &m.sayings[saying]
	f := fit{symptom: s.symptom, saying: saying}
	said, explained, contrary, shadowed := 0.0, 0.0, 0.0, 0.0
	done := -1
	for _, p := range pairs {
		w := words[p.word]
		switch {
		case !r.holds(w):
		case p.element == done: // said again
			explained += p.quality * w.weight
		case p.against:
			contrary += s.elements[p.element].weight
		default:
			done = p.element
			said += p.quality * s.elements[p.element].weight
			explained += p.quality * w.weight
			if w.shadow {
				shadowed += p.quality * s.elements[p.element].weight
			}
			f.elements = append(f.elements, p.word)
		}
	}
	if said == 0 || r.weight == 0 {
		return f
	}
	telling := 1.0
	if said < s.weight || explained < r.weight {
		telling = min(1, said/m.average)
	}
	f.score = s.factor * math.Pow(said/s.weight, powerSaid) * math.Pow(min(1, explained/r.weight), powerExplained) * math.Pow(telling, powerTelling)
	f.against = shadowed >= shadowShare*said
	if contrary >= contraryShare*s.weight {
		f.against = true
		f.score *= contradicted
	}
	return f
}
