package index

import (
	"unicode"
	"unicode/utf8"
)

// question is a text somebody typed, put right as far as the vocabulary goes.
// Guesses holds, for each token, the words that it may stand for when it is not
// known as it was typed: the first of them is what the token now says.
type question struct {
	analysis
	guesses [][]guess
}

// mostWords bounds how many words of a question are looked at.
const mostWords = 120

// ask reads a question. Words that the vocabulary does not know are taken for
// half of a word when they come last, for one typing error, for two words
// written as one, or for two typing errors, in this order.
func (a *analyzer) ask(text string, v *vocabulary) question {
	tokens := scan(text)
	tokens = tokens[:min(len(tokens), mostWords)]
	open := endsOpen(text)
	var q question
	for i, t := range tokens {
		q.take(t, v, open && i == len(tokens)-1)
	}
	q.analysis = a.analyze(q.tokens)
	if open {
		q.completeLast(v)
	}
	for _, guesses := range q.guesses {
		for i := range guesses {
			g := &guesses[i]
			g.stem = a.stem(g.word)
			g.concept, _ = a.conceptOf([]string{g.stem})
		}
	}
	return q
}

// take adds a token to the question, put right where the vocabulary does not
// know it; half tells that it may be half typed.
func (q *question) take(t token, v *vocabulary, half bool) {
	if t.kind != wordToken || v.holds(t.word) {
		q.tokens = append(q.tokens, t)
		return
	}
	indexed := v.indexed(t.word)
	found := v.guess(t.word, half)
	near := len(found) > 0 && found[0].quality >= qualityPrefix
	plain := t.joined == "" && t.end-t.start == len(t.word)
	if first, second, ok := v.apart(t.word); ok && plain && !near && !indexed {
		q.tokens = append(q.tokens, cutToken(t, first, second)...)
		return
	}
	if indexed { // another form of a word that stands in the base, or a typing error that looks like one
		found = append([]guess{{word: t.word, quality: 1}}, found...)
	}
	if len(found) > 0 {
		q.setGuesses(len(q.tokens), found)
		t.word = found[0].word
	}
	q.tokens = append(q.tokens, t)
}

// guess returns what an unknown word may stand for; half tells that it may be
// half typed.
func (v *vocabulary) guess(word string, half bool) []guess {
	if half {
		if found := v.complete(word, qualityPrefix); len(found) > 0 {
			return found
		}
	}
	return v.correct(word)
}

// completeLast adds, for a last word that is known, the longer words that it
// begins, with little weight: "heat" may become "heater".
func (q *question) completeLast(v *vocabulary) {
	i := len(q.tokens) - 1
	if i < 0 || q.guessesAt(i) != nil || q.keys[i] == "" || q.keys[i] == "no" {
		return
	}
	if t := q.tokens[i]; t.kind != wordToken || len(t.word) < 3 || faintWords[t.word] {
		return
	}
	q.setGuesses(i, append([]guess{{word: q.tokens[i].word, quality: 1}}, v.complete(q.tokens[i].word, qualityFull)...))
}

func (q *question) setGuesses(i int, g []guess) {
	for len(q.guesses) <= i {
		q.guesses = append(q.guesses, nil)
	}
	q.guesses[i] = g
}

func (q *question) guessesAt(i int) []guess {
	if i < len(q.guesses) {
		return q.guesses[i]
	}
	return nil
}

// cutToken cuts a token in two.
func cutToken(t token, first, second string) []token {
	one, two := t, t
	one.word, one.end = first, t.start+len(first)
	two.word, two.start, two.breaks = second, one.end, false
	return []token{one, two}
}

// endsOpen tells whether the last word of a text may be half typed: nothing
// stands behind it.
func endsOpen(text string) bool {
	r, _ := utf8.DecodeLastRuneInString(text)
	return unicode.IsLetter(r)
}
