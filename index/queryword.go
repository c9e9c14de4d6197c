package index

import "slices"

// Weights of a word in a question against a plain word.
const (
	weightFaint   = 0.25
	weightNo      = 0.3
	weightReading = 0.15 // a number with a unit, and the unit
	weightNumber  = 0.6  // a number alone may be a size or a rating
)

// queryWord is one word of a question with the terms that may stand for it.
type queryWord struct {
	weight float64
	light  bool // not looked for in bodies, which are full of such words
	terms  []queryTerm
}

type queryTerm struct {
	text    string
	quality float64
}

// How much the terms of a word count against the word itself.
const (
	qualitySynonym = 0.7
	qualityPlain   = 0.5 // a negated word found without its "no"
)

// queryWords turns a question into weighted words. Faint words,
// "no" and the numbers of readings are light when there are others.
func queryWords(q question) []queryWord {
	var out []queryWord
	for i, t := range q.tokens {
		if t.joined != "" {
			out = append(out, queryWord{weight: 1, terms: []queryTerm{{t.joined, 1}}})
		}
		if q.keys[i] == "" {
			continue
		}
		w := queryWord{weight: weightOf(q, i), terms: queryTerms(q, i)}
		w.light = w.weight <= weightNo && t.kind != unitToken
		out = append(out, w)
	}
	if !slices.ContainsFunc(out, func(w queryWord) bool { return !w.light }) {
		for i := range out {
			out[i].light = false
		}
	}
	return out
}

// weightOf returns the weight of the word at token i.
func weightOf(q question, i int) float64 {
	t := q.tokens[i]
	switch {
	case t.kind == unitToken && unitWords[t.word] == reading:
		return weightReading
	case t.kind == numberToken && i+1 < len(q.tokens) && q.tokens[i+1].kind == unitToken:
		return weightReading
	case t.kind == numberToken:
		return weightNumber
	case q.keys[i] == "no":
		return weightNo
	case faintWords[t.word]:
		return weightFaint
	}
	return 1
}

// queryTerms lists the terms that may stand for the word at token i.
func queryTerms(q question, i int) []queryTerm {
	t := q.tokens[i]
	var out []queryTerm
	add := func(text string, quality float64) {
		if t.negated {
			out = append(out, queryTerm{negatedMark + text, quality})
			quality *= qualityPlain
		}
		out = append(out, queryTerm{text, quality})
	}
	quality := 1.0
	guesses := q.guessesAt(i)
	if len(guesses) > 0 {
		quality = guesses[0].quality
		guesses = guesses[1:]
	}
	add(q.keys[i], quality)
	for _, g := range guesses {
		add(g.stem, g.quality)
		if g.concept != "" {
			add(conceptMark+g.concept, g.quality*qualitySynonym)
		}
	}
	for _, c := range q.concepts {
		if c.from <= i && i < c.to {
			add(conceptMark+c.name, quality*qualitySynonym)
		}
	}
	return out
}
