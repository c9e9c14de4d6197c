package index

import (
	"strings"
	"sync"

	"github.com/blevesearch/snowballstem"
	"github.com/blevesearch/snowballstem/english"
)

// analyzer turns texts into terms, with the same rules when the index is built
// and when it is asked. It is safe for concurrent use.
type analyzer struct {
	concepts map[string][]pattern // by first key, longest first
	members  []string             // the synonyms as written
	mu       sync.RWMutex
	stems    map[string]string
}

// stemCacheWords bounds the memory that words of questions can take.
const stemCacheWords = 20000

// newAnalyzer returns an analyzer that knows the synonyms of a base on top of
// the everyday ones.
func newAnalyzer(synonyms [][]string) *analyzer {
	a := &analyzer{concepts: map[string][]pattern{}, stems: map[string]string{}}
	a.learnGroups(synonyms)
	a.learnGroups(everyday)
	a.sortPatterns()
	return a
}

// analysis is a text read by the analyzer: its tokens, the key of each (the
// stem it is indexed under; "" for a stop word) and the synonyms found.
type analysis struct {
	tokens   []token
	keys     []string
	concepts []conceptSpan
}

// conceptSpan is a group of synonyms standing at tokens from..to-1.
type conceptSpan struct {
	name     string
	from, to int
	negated  bool
}

// read analyzes a text.
func (a *analyzer) read(text string) analysis { return a.analyze(scan(text)) }

// analyze finds keys, synonyms and what is negated in tokens.
func (a *analyzer) analyze(tokens []token) analysis {
	n := analysis{tokens: tokens, keys: make([]string, len(tokens))}
	for i, t := range tokens {
		n.keys[i] = a.key(t)
	}
	n.concepts = a.findConcepts(n)
	n.negate()
	return n
}

// key returns the term under which a token is indexed, "" for a stop word.
// Negators all give "no".
func (a *analyzer) key(t token) string {
	if t.kind != wordToken && t.kind != unitToken {
		return t.word
	}
	switch {
	case negators[t.word]:
		return "no"
	case t.kind == unitToken && unitForms[t.word] != "":
		return unitForms[t.word]
	case stopWords[t.word] || joiners[t.word]:
		return ""
	}
	return a.stem(t.word)
}

// stem returns the stem of a word in lower case (Porter's English stemmer,
// second version, after irregular forms were replaced).
func (a *analyzer) stem(word string) string {
	a.mu.RLock()
	s, ok := a.stems[word]
	a.mu.RUnlock()
	if ok {
		return s
	}
	s = stemOf(word)
	a.mu.Lock()
	if len(a.stems) < stemCacheWords {
		a.stems[strings.Clone(word)] = s
	}
	a.mu.Unlock()
	return s
}

func stemOf(word string) string {
	if fixed, ok := fixedStems[word]; ok {
		return fixed
	}
	if regular, ok := irregular[word]; ok {
		word = regular
	}
	if len(word) <= 2 {
		return word
	}
	env := snowballstem.NewEnv(word)
	english.Stem(env)
	return env.Current()
}

// term is what goes into the index for a text.
type term struct {
	text       string
	start, end int // bytes of the text
}

// Marks before a term that is not a plain stem.
const (
	conceptMark = "=" // a group of synonyms
	negatedMark = "!" // what a "no" speaks about
)

// terms lists what is indexed for a text: the stem of each word that is not a
// stop word, compounds whole besides their parts, each group of synonyms, and
// negated ones once more with a mark, so that "no heat" finds "no heat" before
// "heat".
func (n analysis) terms() []term {
	out := make([]term, 0, len(n.tokens)+len(n.concepts))
	for i, t := range n.tokens {
		if t.joined != "" {
			out = append(out, term{t.joined, t.start, t.joinedEnd})
		}
		if n.keys[i] == "" {
			continue
		}
		out = append(out, term{n.keys[i], t.start, t.end})
		if t.negated {
			out = append(out, term{negatedMark + n.keys[i], t.start, t.end})
		}
	}
	for _, c := range n.concepts {
		name := conceptMark + c.name
		start, end := n.tokens[c.from].start, n.tokens[c.to-1].end
		out = append(out, term{name, start, end})
		if c.negated {
			out = append(out, term{negatedMark + name, start, end})
		}
	}
	return out
}
