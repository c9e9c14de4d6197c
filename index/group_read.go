package index

import (
	"cmp"
	"maps"
	"strings"
)

// read finds the terms of the jobs' texts, put right where a word is written as
// no other text does, and names the terms by the shortest words used for them.
func (g *Grouper) read(jobs []jobText) map[string]string {
	names := map[string]string{}
	spelt := func(term, words string) {
		if old, ok := names[term]; !ok || cmp.Or(len(words)-len(old), strings.Compare(words, old)) < 0 {
			names[term] = words
		}
	}
	v := g.vocabulary()
	terms := func(texts []string) map[string]bool {
		var read []analysis
		for _, text := range texts {
			read = append(read, g.analyzer.ask(text+" .", v).analysis) // the full stop: no word is half typed
		}
		return termsOf(read, spelt)
	}
	for i := range jobs {
		j := &jobs[i]
		j.inNotes, j.terms = terms(j.noted), terms(j.said)
		maps.Copy(j.terms, j.inNotes)
	}
	return names
}

// leastSpelt is in how many texts a word must stand to be taken as it is
// written, not for a typing error.
const leastSpelt = 2

// vocabulary holds the words of the base and those that several jobs spell
// alike.
func (g *Grouper) vocabulary() *vocabulary {
	count := maps.Clone(g.base.count)
	stems := map[string]int{}
	for w, n := range g.words {
		if n >= leastSpelt {
			count[w] += n
		}
		stems[g.analyzer.stem(w)] += n
	}
	return newVocabulary(count, func(word string) bool {
		stem := g.analyzer.stem(word)
		return g.stems[stem] || stems[stem] >= leastSpelt
	})
}
