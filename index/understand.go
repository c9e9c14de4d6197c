package index

import (
	"cmp"
	"slices"
)

// Guess is a symptom that a complaint may mean.
type Guess struct {
	Symptom string  `json:"symptom"`
	Score   float64 `json:"score"`  // in [0,1]; 1 when a phrase was said word for word
	Clear   bool    `json:"clear"`  // it stands out; otherwise ask
	Phrase  string  `json:"phrase"` // what is known to be said for the symptom and fits best
	Said    string  `json:"said"`   // the words of the complaint that fit it
}

// Thresholds of Understand, tuned on the shipped base with the complaints in
// testdata/complaints.txt.
const (
	clearScore   = 0.64 // a clear symptom has at least this score
	clearMargin  = 0.12 // and is so far ahead of others for the same words
	doubtScore   = 0.34 // below this a symptom is not worth asking about
	doubtShare   = 0.62 // nor with less than this of a clear one's score for the same words
	mostSymptoms = 5
)

// Understand returns the symptoms of a family ("" for any) that a complaint may
// mean, the clear ones first, then by score and id; at most five. A complaint
// may hold several symptoms, and "no smoke" does not mean smoke. On a closed
// index it returns nil.
func (x *Index) Understand(text, family string) []Guess {
	x.mu.RLock()
	defer x.mu.RUnlock()
	if x.reader == nil {
		return nil
	}
	q := x.analyzer.ask(text, x.content.vocabulary)
	m := x.phraseMatcher()
	found := m.match(q, family)
	slices.SortFunc(found, func(a, b fit) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(m.symptoms[a.symptom], m.symptoms[b.symptom]))
	})
	out := []Guess{}
	for _, clear := range []bool{true, false} {
		for i, f := range found {
			if f.score < doubtScore || standsOut(found, i) != clear || !clear && overshadowed(found, i) || len(out) == mostSymptoms {
				continue
			}
			out = append(out, Guess{
				Symptom: m.symptoms[f.symptom], Score: min(1, f.score), Clear: clear,
				Phrase: m.sayings[f.saying].text, Said: q.said(text, f.elements),
			})
		}
	}
	return out
}

// standsOut tells whether the fit at i is clear: good enough, not contradicted
// and well ahead of every other symptom that the same words may mean.
func standsOut(found []fit, i int) bool {
	f := found[i]
	if f.score < clearScore || f.against {
		return false
	}
	for j, other := range found {
		if j != i && other.score > f.score-clearMargin && (sameWords(f, other) || other.score > f.score && explained(f, other)) {
			return false
		}
	}
	return true
}

// overshadowed tells whether a clear symptom explains the words of the fit at i
// so much better that asking about it would only be a bother.
func overshadowed(found []fit, i int) bool {
	for j, other := range found {
		if j != i && found[i].score < doubtShare*other.score && sameWords(found[i], other) && standsOut(found, j) {
			return true
		}
	}
	return false
}

// explained tells whether all words of a fit stand in phrases of a symptom that
// fits better: a "sooty flame" is no soot in the building.
func explained(f, by fit) bool {
	for _, e := range f.elements {
		if !slices.Contains(by.explains, e) {
			return false
		}
	}
	return true
}

// sameWords tells whether two fits rest on the same words: they share at least
// half of the words of the one that rests on fewer.
func sameWords(a, b fit) bool {
	shared := 0
	for _, e := range a.elements {
		if slices.Contains(b.elements, e) {
			shared++
		}
	}
	return 2*shared >= min(len(a.elements), len(b.elements))
}
