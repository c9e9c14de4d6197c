package index

import (
	"cmp"
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

// addLearned adds the phrases that a shop chose. One counts
// 0.7 + 0.2 ln(1+count), at most 1.3, so that from about five times on it
// overrules the base; when the same words were chosen for several symptoms, each
// counts its share of the ln(1+count) of all.
func (m *matcher) addLearned(a *analyzer, learned []ChosenPhrase) {
	votes := map[string]float64{}
	for _, p := range learned {
		if _, ok := m.number[p.Symptom]; ok {
			votes[a.wording(p.Text)] += math.Log1p(float64(p.Count))
		}
	}
	for _, p := range learned {
		i, ok := m.number[p.Symptom]
		if !ok {
			continue
		}
		vote := math.Log1p(float64(p.Count))
		share := vote / votes[a.wording(p.Text)]
		m.add(a, saying{symptom: i, text: p.Text, factor: share * min(1.3, 0.7+0.2*vote)})
	}
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
