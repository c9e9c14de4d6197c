package index

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"

	"sootsayer/kb"
)

// vocabulary holds the words that stand in the base, the synonyms and the
// learned phrases, as written. It puts right what was mistyped or left half
// typed.
type vocabulary struct {
	count   map[string]int         // in how many entries
	words   []string               // sorted
	indexed func(word string) bool // whether another form of the word stands there
}

func newVocabulary(count map[string]int, indexed func(word string) bool) *vocabulary {
	words := make([]string, 0, len(count))
	for w := range count {
		words = append(words, w)
	}
	slices.Sort(words)
	return &vocabulary{count, words, indexed}
}

// holds tells whether a word stands in the base as it was typed, or is plain
// English.
func (v *vocabulary) holds(word string) bool {
	if v.count[word] > 0 || stopWords[word] || negators[word] || faintWords[word] || joiners[word] || knownWords[word] {
		return true
	}
	_, form := irregular[word]
	return form || unitWords[word] != 0
}

// guess is a word that may have been meant, and how much it counts against a
// word that was typed right.
type guess struct {
	word    string
	quality float64
	stem    string // this and the next are set by analyzer.ask
	concept string // the group of synonyms that the word alone stands for, or ""
}

// How much a word counts that was found by another way than letter by letter.
const (
	qualityPrefix = 0.7  // the rest of a half-typed word was filled in
	qualityFull   = 0.35 // a longer word begins with a word that is complete as it is
	qualityError  = 0.2  // taken off for each typing error
	mostGuesses   = 3
	mostPrefixed  = 8
)

// correct returns the words that an unknown word most likely stands for: those
// with the fewest typing errors, with the same first letter where there are
// any, the more frequent first; at most three.
func (v *vocabulary) correct(word string) []guess {
	letters := []rune(word)
	most := typingErrors(len(letters))
	if most == 0 {
		return nil
	}
	var found []string
	best := most
	for _, w := range v.words {
		n := utf8.RuneCountInString(w)
		if n < 3 || n > len(letters)+best || n < len(letters)-best {
			continue
		}
		switch d := kb.EditDistance(letters, []rune(w), best); {
		case d > best:
		case d < best:
			found, best = append(found[:0], w), d
		default:
			found = append(found, w)
		}
	}
	first := string(letters[:1])
	same := func(w string) int {
		if strings.HasPrefix(w, first) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(found, func(x, y string) int {
		return cmp.Or(same(x)-same(y), v.count[y]-v.count[x])
	})
	var out []guess
	for _, w := range found {
		if len(out) < mostGuesses && same(w) == same(found[0]) {
			out = append(out, guess{word: w, quality: 1 - qualityError*float64(best)})
		}
	}
	return out
}

// complete returns the words that begin with what was typed of the last word,
// the more frequent first; at most eight.
func (v *vocabulary) complete(start string, quality float64) []guess {
	if utf8.RuneCountInString(start) < 2 {
		return nil
	}
	from, _ := slices.BinarySearch(v.words, start)
	to := from
	for to < len(v.words) && strings.HasPrefix(v.words[to], start) {
		to++
	}
	found := slices.Clone(v.words[from:to])
	slices.SortStableFunc(found, func(x, y string) int { return v.count[y] - v.count[x] })
	var out []guess
	for _, w := range found {
		if w != start && len(out) < mostPrefixed {
			out = append(out, guess{word: w, quality: quality})
		}
	}
	return out
}

// apart splits a word that is two known words written as one, as in "nospark";
// the longest first part wins.
func (v *vocabulary) apart(word string) (first, second string, ok bool) {
	for i := len(word) - 2; i >= 2; i-- {
		if !utf8.RuneStart(word[i]) {
			continue
		}
		first, second = word[:i], word[i:]
		if v.stands(first) && v.stands(second) && (len(first) > 3 || len(second) > 3) {
			return first, second, true
		}
	}
	return "", "", false
}

// stands tells whether a word may be one half of two words written as one.
func (v *vocabulary) stands(word string) bool {
	return v.count[word] > 0 || negators[word]
}
