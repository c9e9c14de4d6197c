package index

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"
)

// mostLearned bounds the learned phrases, which are read anew by every command.
const mostLearned = 1000

// mostChosen returns the phrases that were chosen most often.
func mostChosen(phrases []ChosenPhrase) []ChosenPhrase {
	out := slices.DeleteFunc(slices.Clone(phrases), func(p ChosenPhrase) bool { return p.Count <= 0 })
	slices.SortFunc(out, func(a, b ChosenPhrase) int {
		return cmp.Or(b.Count-a.Count, cmp.Compare(a.Text, b.Text), cmp.Compare(a.Symptom, b.Symptom))
	})
	return out[:min(len(out), mostLearned)]
}

// learnedPhrase is a phrase that a shop chose for a symptom of the base, and how
// much it counts against an authored one.
type learnedPhrase struct {
	symptom int // its number
	text    string
	factor  float64
}

// weighLearned weighs the phrases that a shop chose; number gives a symptom's
// number by id. A phrase counts 0.7 + 0.2 ln(1+count), at most 1.3, so that from
// about five times on it overrules the base; when the same words were chosen for
// several symptoms, each counts its share of the ln(1+count) of all.
func weighLearned(a *analyzer, number map[string]int, learned []ChosenPhrase) []learnedPhrase {
	votes := map[string]float64{}
	for _, p := range learned {
		if _, ok := number[p.Symptom]; ok {
			votes[a.wording(p.Text)] += math.Log1p(float64(p.Count))
		}
	}
	var out []learnedPhrase
	for _, p := range learned {
		i, ok := number[p.Symptom]
		if !ok {
			continue
		}
		vote := math.Log1p(float64(p.Count))
		share := vote / votes[a.wording(p.Text)]
		out = append(out, learnedPhrase{i, p.Text, share * min(1.3, 0.7+0.2*vote)})
	}
	return out
}

// addLearned adds the phrases that a shop chose to what is known to be said.
func (m *matcher) addLearned(a *analyzer, learned []ChosenPhrase) {
	for _, p := range weighLearned(a, m.number, learned) {
		m.add(a, saying{symptom: p.symptom, text: p.text, factor: p.factor})
	}
}

// learnedPosting says that a learned phrase of a document holds a term, and what
// it adds to f, see scorer.
type learnedPosting struct {
	doc int
	f   float64
}

// learnedPostings are the terms of the learned phrases by which symptoms are
// found. They count as the phrases of the base do in a symptom of usual length;
// the best phrase with a term counts.
func (x *Index) learnedPostings() map[string][]learnedPosting {
	if len(x.phrases) == 0 {
		return nil
	}
	number := map[string]int{}
	for i := range x.entries {
		if x.entries[i].kind == KindSymptom {
			number[x.entries[i].id] = i
		}
	}
	best := map[string]map[int]float64{}
	for _, p := range weighLearned(x.analyzer, number, x.phrases) {
		doc := x.content.documentOf[p.symptom]
		for _, t := range x.analyzer.read(p.text).terms() {
			if best[t.text] == nil {
				best[t.text] = map[int]float64{}
			}
			best[t.text][doc] = max(best[t.text][doc], entryRoles[0].boost*p.factor)
		}
	}
	out := map[string][]learnedPosting{}
	for term, docs := range best {
		for _, doc := range slices.Sorted(maps.Keys(docs)) {
			out[term] = append(out[term], learnedPosting{doc, docs[doc]})
		}
	}
	return out
}

// wording names what a text says, whatever its forms, small words and order.
func (a *analyzer) wording(text string) string {
	var marked []string
	for _, e := range a.read(text).elements() {
		marked = append(marked, e.marked())
	}
	slices.Sort(marked)
	return strings.Join(marked, " ")
}

// Telling tells whether a text holds a word that says something, so that it can
// be learned as a phrase for a symptom: "the customer called about the unit"
// does not.
func (x *Index) Telling(text string) bool {
	return slices.ContainsFunc(x.analyzer.read(text).elements(), func(e saidElement) bool { return e.weight >= 1 })
}
