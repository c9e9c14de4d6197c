package index

import "slices"

// heard is an element of a complaint, the keys it may stand for and the clause
// it is in.
type heard struct {
	saidElement
	keys   []queryTerm
	clause int
	shadow bool // a "no" before it may bear on it too, as in "no black smoke"
}

// hear lists the elements of a question by clause: punctuation and words such as
// "and", "but" and "then" begin a new one.
func (m *matcher) hear(q question) []heard {
	var out []heard
	clause, at := 0, 0
	for _, e := range q.elements() {
		for ; at <= e.from; at++ {
			if len(out) > 0 && out[len(out)-1].clause == clause && (q.tokens[at].breaks || q.joins(at)) {
				clause++
			}
		}
		at = max(at, e.to)
		h := heard{saidElement: e, clause: clause, keys: []queryTerm{{e.key, 1}}}
		if g := q.guessesAt(e.from); len(g) > 0 {
			h.keys[0].quality = g[0].quality
			h.keys = append(h.keys, otherKeys(g[1:])...)
		}
		idf, known := m.idf[e.marked()]
		if !known {
			idf = unknownWeight * m.average
		}
		h.weight *= idf
		out = append(out, h)
	}
	m.castShadows(q, out)
	return out
}

// castShadows marks what stands behind a negated word that no saying holds
// negated. "No heat" is known to be said, so "no heat black smoke" has smoke in
// it; "no black" is not, so "no black smoke" need not.
func (m *matcher) castShadows(q question, words []heard) {
	shadow := false
	for i := range words {
		w := &words[i]
		if i > 0 && (w.clause != words[i-1].clause || q.scopeEnds(words[i-1].to, w.from)) {
			shadow = false
		}
		w.shadow = shadow && !w.negated
		if _, known := m.idf[w.marked()]; w.negated {
			shadow = !known
		}
	}
}

// scopeEnds tells whether one of the tokens from..to ends what a "no" bears on.
func (q question) scopeEnds(from, to int) bool {
	return slices.ContainsFunc(q.tokens[from:to+1], func(t token) bool { return scopeEnds[t.word] })
}

// otherKeys lists the keys of what else a word may stand for; longer words that
// begin like one that is complete are not meant here.
func otherKeys(guesses []guess) []queryTerm {
	var out []queryTerm
	for _, g := range guesses {
		if g.quality <= qualityFull {
			continue
		}
		out = append(out, queryTerm{g.stem, g.quality})
		if g.concept != "" {
			out = append(out, queryTerm{conceptMark + g.concept, g.quality})
		}
	}
	return out
}

// run is a run of clauses, from..to-1, and the weight of the words in it.
type run struct {
	from, to int
	weight   float64
}

// holds tells whether a word stands in the run.
func (r run) holds(w heard) bool { return r.from <= w.clause && w.clause < r.to }

// mostClauses bounds the complaints of which every run of clauses is tried; of
// longer ones single clauses, pairs and the whole are.
const mostClauses = 6

// clauseRuns lists the runs of clauses to try.
func clauseRuns(words []heard) []run {
	n := words[len(words)-1].clause + 1
	var out []run
	for from := range n {
		for to := from + 1; to <= n; to++ {
			if n > mostClauses && to-from > 2 && to-from < n {
				continue
			}
			r := run{from: from, to: to}
			for _, w := range words {
				if r.holds(w) {
					r.weight += w.weight
				}
			}
			out = append(out, r)
		}
	}
	return out
}

// said returns the stretch of the text on which a fit rests, with the "no" that
// bears on its first word.
func (q question) said(text string, elements []int) string {
	all := q.elements()
	from, to := len(q.tokens), 0
	for _, e := range elements {
		from, to = min(from, all[e].from), max(to, all[e].to)
	}
	if from >= to {
		return ""
	}
	for i := from; q.tokens[from].negated && i >= 0; i-- {
		if q.keys[i] == "no" {
			from = i
			break
		}
	}
	return text[q.tokens[from].start:q.tokens[to-1].end]
}
