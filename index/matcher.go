package index

import (
	"math"

	"sootsayer/kb"
)

// matcher compares a complaint with everything that is known to be said for
// each symptom: its phrases, its name and what the shop learned. It holds no
// postings of bleve's; the phrases of a base are a few hundred short lines.
type matcher struct {
	symptoms []string // ids, numbered as the entries of the index, which begin with the symptoms
	families [][]string
	number   map[string]int // of a symptom, by id
	sayings  []saying
	holding  map[string][]int   // sayings that hold an element with this key
	idf      map[string]float64 // by marked key
	average  float64            // idf of an element that two symptoms hold
}

// saying is one way of saying a symptom.
type saying struct {
	symptom  int
	text     string
	elements []element
	weight   float64 // sum of the elements' weights
	factor   float64 // how much the saying counts
}

// element is a word or a group of synonyms that a saying or a complaint holds,
// and whether a "no" speaks about it.
type element struct {
	key     string
	negated bool
	weight  float64
}

// marked is the element's key with a mark when it is negated.
func (e element) marked() string {
	if e.negated {
		return negatedMark + e.key
	}
	return e.key
}

// factorName is how much the name of a symptom counts against a phrase: names
// are written to be read, phrases as they are said.
const factorName = 0.95

// phraseMatcher builds the matcher on first use.
func (x *Index) phraseMatcher() *matcher {
	x.matching.Do(func() { x.matcher = newMatcher(x.analyzer, x.symptoms, x.phrases) })
	return x.matcher
}

func newMatcher(a *analyzer, symptoms []kb.Symptom, learned []ChosenPhrase) *matcher {
	m := &matcher{number: map[string]int{}, holding: map[string][]int{}, idf: map[string]float64{}}
	for _, s := range symptoms {
		if _, twice := m.number[s.ID]; twice {
			continue
		}
		i := len(m.symptoms)
		m.number[s.ID] = i
		m.symptoms = append(m.symptoms, s.ID)
		m.families = append(m.families, s.Families)
		m.add(a, saying{symptom: i, text: s.Name, factor: factorName})
		for _, p := range s.Phrases {
			m.add(a, saying{symptom: i, text: p, factor: 1})
		}
	}
	m.addLearned(a, learned)
	m.weigh()
	return m
}

// add reads the saying's text; one without a telling word is left out.
func (m *matcher) add(a *analyzer, s saying) {
	seen := map[element]bool{}
	for _, e := range a.read(s.text).elements() {
		if !seen[e.element] {
			seen[e.element] = true
			s.elements = append(s.elements, e.element)
		}
	}
	if len(s.elements) > 0 {
		m.sayings = append(m.sayings, s)
	}
}

// weigh gives every element its inverse document frequency over the symptoms,
// ln(1 + (N-n+1/2)/(n+1/2)) with n of N symptoms holding it, times the faintness
// of the word. "No heat" and "heat" are two elements.
func (m *matcher) weigh() {
	in := map[string]map[int]bool{}
	for _, s := range m.sayings {
		for _, e := range s.elements {
			if in[e.marked()] == nil {
				in[e.marked()] = map[int]bool{}
			}
			in[e.marked()][s.symptom] = true
		}
	}
	idf := func(n int) float64 { return math.Log(1 + (float64(len(m.symptoms)-n)+0.5)/(float64(n)+0.5)) }
	for key, symptoms := range in {
		m.idf[key] = idf(len(symptoms))
	}
	m.average = idf(min(2, len(m.symptoms)))
	for i := range m.sayings {
		s := &m.sayings[i]
		for j := range s.elements {
			e := &s.elements[j]
			e.weight *= m.idf[e.marked()]
			s.weight += e.weight
			m.holding[e.key] = append(m.holding[e.key], i)
		}
	}
}

// unknownWeight is what a word of a complaint that no saying holds weighs
// against one that two symptoms hold: it may be about something else altogether.
const unknownWeight = 0.3

// saidElement is an element at the tokens from..to-1 of a text.
type saidElement struct {
	element
	from, to int
}

// elements lists what a text says: groups of synonyms as one element each,
// other words by their stem. Stop words, "no" itself, numbers and units of
// readings are left out.
func (n analysis) elements() []saidElement {
	var out []saidElement
	next := 0
	for i := 0; i < len(n.tokens); i++ {
		if next < len(n.concepts) && n.concepts[next].from == i {
			c := n.concepts[next]
			out = append(out, saidElement{element{conceptMark + c.name, c.negated, n.conceptWeight(c)}, c.from, c.to})
			i = c.to - 1
			next++
			continue
		}
		t := n.tokens[i]
		if n.keys[i] == "" || n.keys[i] == "no" || t.kind == numberToken || t.kind == unitToken && unitWords[t.word] == reading {
			continue
		}
		weight := 1.0
		if faintWords[t.word] || t.kind == unitToken {
			weight = weightFaint
		}
		out = append(out, saidElement{element{n.keys[i], t.negated, weight}, i, i + 1})
	}
	return out
}

// conceptWeight is faint for a group of synonyms said by one faint word.
func (n analysis) conceptWeight(c conceptSpan) float64 {
	if c.to == c.from+1 && faintWords[n.tokens[c.from].word] {
		return weightFaint
	}
	return 1
}
