package index

import (
	"slices"
	"strings"

	"sootsayer/kb"
)

// TextGroup is a group of unlisted jobs whose texts hold the same outstanding
// words.
type TextGroup struct {
	ID    string      `json:"group"` // the word it is named after
	Words []GroupWord `json:"words"` // that word, then those that stand with it in most jobs
	Jobs  []string    `json:"jobs"`
}

// GroupWord is an outstanding word of a group.
type GroupWord struct {
	Word     string  `json:"word"`     // a group of synonyms by the shortest that is used
	Jobs     int     `json:"jobs"`     // of the group that hold it
	Unlisted int     `json:"unlisted"` // jobs closed as unlisted that hold it
	Listed   int     `json:"listed"`   // jobs closed with a listed cause that hold it
	Surprise float64 `json:"surprise"` // Dunning's log-likelihood ratio of these two shares
}

// Grouping is what the texts of unlisted jobs have in common.
type Grouping struct {
	Groups   []TextGroup `json:"groups"`   // in the order in which they were found
	Left     []string    `json:"left"`     // jobs in no group
	Unlisted int         `json:"unlisted"` // jobs with a text
	Listed   int         `json:"listed"`
}

// Grouper groups the free text of jobs that were closed as unlisted by the words
// that stand out against the jobs with a listed cause. Texts are read as by a
// search: forms of a word, synonyms and typing errors are one word, and "no
// smoke" is another than "smoke". The order in which jobs are given does not
// matter.
//
// Of the words of notes that stand out (Dunning 1993, see surprise) the most
// surprising one makes the first group: the jobs that hold it. Outstanding words
// of notes most jobs of which are in the group belong to it, and a job that holds
// two of its words joins it. The jobs left make the next group in the same way,
// until no word of their notes stands out; then the words of complaints make
// groups likewise. Notes come first because they tell what it was; what was
// complained of is shared by jobs of many causes.
type Grouper struct {
	analyzer *analyzer
	base     *vocabulary
	stems    map[string]bool // of the base
	words    map[string]int  // texts of any kind that hold a word as it is written
	listed   map[string]int  // listed jobs by term
	nListed  int
	unlisted []jobText
}

// jobText is the text of an unlisted job.
type jobText struct {
	id          string
	noted, said []string
	inNotes     map[string]bool // terms of what was noted
	terms       map[string]bool // of all
}

// NewGrouper returns a grouper that reads texts as a search in the base does.
func NewGrouper(b *kb.Base) *Grouper {
	g := &Grouper{analyzer: newAnalyzer(b.Synonyms), stems: map[string]bool{}, words: map[string]int{}, listed: map[string]int{}}
	count := map[string]int{}
	learn := func(text string) {
		for _, t := range scan(text) {
			if t.kind == wordToken {
				count[t.word]++
				g.stems[g.analyzer.stem(t.word)] = true
			}
		}
	}
	for _, e := range entriesOf(b) {
		for _, p := range e.texts {
			learn(p.text)
		}
	}
	for _, member := range g.analyzer.members {
		learn(member)
	}
	g.base = newVocabulary(count, nil)
	return g
}

// Listed adds the texts of a job with a listed cause.
func (g *Grouper) Listed(texts ...string) {
	g.nListed++
	read := make([]analysis, len(texts))
	for i, text := range texts {
		read[i] = g.analyzer.read(text)
	}
	g.countWords(read)
	for term := range termsOf(read, nil) {
		g.listed[term]++
	}
}

// Unlisted adds the texts of a job that was closed as unlisted: what was noted
// of it, and what was said before.
func (g *Grouper) Unlisted(id string, noted []string, said ...string) {
	var read []analysis
	for _, text := range slices.Concat(noted, said) {
		read = append(read, g.analyzer.read(text))
	}
	g.countWords(read)
	g.unlisted = append(g.unlisted, jobText{id: id, noted: slices.Clone(noted), said: slices.Clone(said)})
}

// countWords counts each word of a job's texts once.
func (g *Grouper) countWords(read []analysis) {
	seen := map[string]bool{}
	for _, n := range read {
		for _, t := range n.tokens {
			if t.kind == wordToken && !seen[t.word] {
				seen[t.word] = true
				g.words[strings.Clone(t.word)]++
			}
		}
	}
}

// termsOf returns the telling terms of texts. For each the words that stand for
// it are told to spelt, if that is wanted.
func termsOf(read []analysis, spelt func(term, words string)) map[string]bool {
	terms := map[string]bool{}
	for _, n := range read {
		for _, e := range n.elements() {
			if e.weight < 1 || isDoing(n, e) {
				continue
			}
			terms[e.marked()] = true
			if spelt != nil {
				spelt(e.marked(), wordsOf(n, e))
			}
		}
	}
	return terms
}

// isDoing tells whether an element is one word for what was done, which says
// nothing of what it was.
func isDoing(n analysis, e saidElement) bool {
	return e.to == e.from+1 && doingWords[n.tokens[e.from].word]
}

// wordsOf are the words of an element as they are written, with the "no" that
// speaks about it.
func wordsOf(n analysis, e saidElement) string {
	var words []string
	if e.negated {
		words = append(words, "no")
	}
	for _, t := range n.tokens[e.from:e.to] {
		words = append(words, t.word)
	}
	return strings.Join(words, " ")
}
