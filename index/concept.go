package index

import (
	"slices"
	"strings"
)

// pattern is one way of saying a concept: the keys of its words without stop
// words.
type pattern struct {
	keys []string
	name string
}

// learnGroups adds groups of synonyms. A term that is known already keeps its
// concept and brings the rest of its group into it.
func (a *analyzer) learnGroups(groups [][]string) {
	for _, group := range groups {
		a.members = append(a.members, group...)
		var patterns []pattern
		name := ""
		for _, member := range group {
			p := pattern{keys: a.patternKeys(member)}
			if len(p.keys) == 0 {
				continue
			}
			if known, ok := a.conceptOf(p.keys); ok && name == "" {
				name = known
			}
			patterns = append(patterns, p)
		}
		if len(patterns) == 0 {
			continue
		}
		if name == "" {
			name = strings.Join(patterns[0].keys, "-")
		}
		for _, p := range patterns {
			if _, known := a.conceptOf(p.keys); !known {
				p.name = name
				a.concepts[p.keys[0]] = append(a.concepts[p.keys[0]], p)
			}
		}
	}
}

// patternKeys returns how the words of a synonym are compared, see form.
// Articles are left out.
func (a *analyzer) patternKeys(member string) []string {
	var keys []string
	for _, t := range scan(member) {
		if !articles[t.word] {
			keys = append(keys, form(t, a.key(t)))
		}
	}
	return keys
}

// form is what a token is compared as within a synonym: its key, or the word
// itself when it is a stop word.
func form(t token, key string) string {
	if key == "" {
		return t.word
	}
	return key
}

// conceptOf returns the concept that the keys name.
func (a *analyzer) conceptOf(keys []string) (string, bool) {
	for _, p := range a.concepts[keys[0]] {
		if slices.Equal(p.keys, keys) {
			return p.name, true
		}
	}
	return "", false
}

// sortPatterns puts longer patterns first, so that "fuel pump" is found before
// "fuel".
func (a *analyzer) sortPatterns() {
	for _, list := range a.concepts {
		slices.SortStableFunc(list, func(x, y pattern) int { return len(y.keys) - len(x.keys) })
	}
}

// findConcepts finds the synonyms in a text from left to right, the longest at
// each place; they do not overlap.
func (a *analyzer) findConcepts(n analysis) []conceptSpan {
	var out []conceptSpan
	for i := 0; i < len(n.tokens); i++ {
		for _, p := range a.concepts[form(n.tokens[i], n.keys[i])] {
			if end := n.match(p.keys, i); end > 0 {
				out = append(out, conceptSpan{name: p.name, from: i, to: end})
				i = end - 1
				break
			}
		}
	}
	return out
}

// conceptGap is how many words that say little may stand before the last word
// of a synonym when that is a particle, as in "shuts itself right off".
const conceptGap = 2

// match tells where a pattern that begins at token i ends, 0 when it does not
// stand there. Articles may stand between its words, and no clause may end
// inside it.
func (n analysis) match(keys []string, i int) int {
	at, gap := i+1, 0
	for k, key := range keys[1:] {
		particle := k == len(keys)-2 && particles[key]
		for ; ; at++ {
			if at >= len(n.tokens) || n.tokens[at].breaks {
				return 0
			}
			t := n.tokens[at]
			if form(t, n.keys[at]) == key {
				break
			}
			if articles[t.word] {
				continue
			}
			little := !n.joins(at) && (n.keys[at] == "" || faintWords[t.word])
			if gap++; !particle || !little || gap > conceptGap {
				return 0
			}
		}
		at++
	}
	return at
}

// joins tells whether the token at i is a word that begins a new clause.
func (n analysis) joins(i int) bool { return joiners[n.tokens[i].word] }
