package index

import (
	"cmp"
	"slices"
)

// Fragment is a text of an entry that holds words of the question. Spans are
// the byte offsets [from, to) in Text to highlight, in order, not overlapping.
type Fragment struct {
	Field string   `json:"field"` // name, phrases, how, ask, note, spec and so on, as in the base; learned
	Text  string   `json:"text"`
	Spans [][2]int `json:"spans"`
}

// mostFragments is how many texts of an entry are shown.
const mostFragments = 3

// fragments returns the texts that hold most of the question, the
// best first; at equal weight those that come first in the base.
func (a *analyzer) fragments(texts []passage, words []queryWord) []Fragment {
	weights := map[string]float64{}
	for _, w := range words {
		for _, t := range w.terms {
			weights[t.text] = max(weights[t.text], w.weight*t.quality)
		}
	}
	type weighed struct {
		Fragment
		weight float64
	}
	var found []weighed
	for _, p := range texts {
		spans, weight := a.spans(p.text, weights)
		if len(spans) > 0 {
			found = append(found, weighed{Fragment{p.source, p.text, spans}, weight})
		}
	}
	slices.SortStableFunc(found, func(x, y weighed) int { return cmp.Compare(y.weight, x.weight) })
	out := make([]Fragment, 0, mostFragments)
	for _, f := range found[:min(len(found), mostFragments)] {
		out = append(out, f.Fragment)
	}
	return out
}

// spans returns where a text holds the terms, and the weight of those found,
// each counted once.
func (a *analyzer) spans(text string, weights map[string]float64) ([][2]int, float64) {
	var spans [][2]int
	seen := map[string]bool{}
	total := 0.0
	for _, t := range a.read(text).terms() {
		w, ok := weights[t.text]
		if !ok {
			continue
		}
		spans = append(spans, [2]int{t.start, t.end})
		if !seen[t.text] {
			seen[t.text] = true
			total += w
		}
	}
	return mergeSpans(spans), total
}

// mergeSpans sorts spans and joins those that overlap.
func mergeSpans(spans [][2]int) [][2]int {
	slices.SortFunc(spans, func(x, y [2]int) int { return cmp.Or(x[0]-y[0], x[1]-y[1]) })
	var out [][2]int
	for _, s := range spans {
		if n := len(out); n > 0 && s[0] < out[n-1][1] {
			out[n-1][1] = max(out[n-1][1], s[1])
			continue
		}
		out = append(out, s)
	}
	return out
}
