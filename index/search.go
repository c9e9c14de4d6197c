package index

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
)

// Query is a question to [Index.Search].
type Query struct {
	Text   string   // what the person typed; the last word may be half typed
	Family string   // only entries of this family; "" for all
	Kinds  []string // only these kinds (see [Kinds]); empty for all
	Limit  int      // at most so many hits; 0 means 20, negative means all
}

// defaultLimit is the number of hits when a query names none.
const defaultLimit = 20

// Hit is an entry or a past job found, with the texts that hold the words of
// the question. Scores compare within one answer only.
type Hit struct {
	Kind      string     `json:"kind"`
	ID        string     `json:"id"`
	Name      string     `json:"name"` // of a job what it turned out to be
	Score     float64    `json:"score"`
	Fragments []Fragment `json:"fragments"`
	Job       *PastJob   `json:"job,omitempty"`
}

// Search returns the entries that hold words of the query, the highest score
// first, at equal scores by id and kind. A query without words gives no hits.
// The error is [ErrClosed], the context's, or wraps what went wrong in the
// files of the index.
func (x *Index) Search(ctx context.Context, q Query) ([]Hit, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	if x.reader == nil {
		return nil, ErrClosed
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	asked := x.analyzer.ask(q.Text, x.content.vocabulary)
	words := queryWords(asked)
	if len(words) == 0 {
		return nil, nil
	}
	scoring, ok := x.scorers.Get().(*scorer)
	if !ok {
		scoring = newScorer(x.reader, entryRoles, len(x.entries), false)
		scoring.learned = x.content.learned
	}
	scores, err := scoring.score(ctx, words)
	if err != nil {
		return nil, fmt.Errorf("searching the index: %w", err)
	}
	defer x.scorers.Put(scoring) // not after an error, which may leave half a sum in it
	x.addPhraseScores(scores, asked, q)
	var hits []Hit
	for _, r := range x.selectBest(scores, q) {
		e := &x.entries[r.entry]
		hits = append(hits, Hit{Kind: e.kind, ID: e.id, Name: e.name, Score: r.score, Fragments: x.analyzer.fragments(x.passages(e), words)})
	}
	return hits, nil
}

// phraseBonus is what a phrase of a symptom adds to its score when the question
// says it in full; one said by half adds nothing, since the scorer has counted
// its words.
const (
	phraseBonus = 5
	phraseFrom  = 0.7
)

// addPhraseScores adds to the symptoms what their phrases, authored and
// learned, say about the question as a whole.
func (x *Index) addPhraseScores(scores []float64, q question, query Query) {
	if !wanted(query, KindSymptom) {
		return
	}
	m := x.phraseMatcher()
	for _, c := range m.match(q, query.Family) {
		scores[x.content.documentOf[c.symptom]] += phraseBonus * max(0, c.score-phraseFrom) / (1 - phraseFrom)
	}
}

// passages lists the texts of an entry, with the phrases that the shop learned.
func (x *Index) passages(e *entry) []passage {
	out := e.texts
	for _, p := range x.phrases {
		if e.kind == KindSymptom && p.Symptom == e.id {
			out = append(slices.Clip(out), passage{"learned", p.Text})
		}
	}
	return out
}

// ranked is an entry with its score.
type ranked struct {
	entry int
	score float64
}

// selectBest returns the entries that the query wants, the best first.
func (x *Index) selectBest(scores []float64, q Query) []ranked {
	limit := q.Limit
	switch {
	case limit == 0:
		limit = defaultLimit
	case limit < 0 || limit > len(scores):
		limit = len(scores)
	}
	best := make([]ranked, 0, limit+1)
	for d, score := range scores {
		r := ranked{x.content.entryOf[d], round(score)}
		if r.score <= 0 || len(best) == limit && (limit == 0 || x.order(r, best[limit-1]) > 0) {
			continue
		}
		e := &x.entries[r.entry]
		if !e.in(q.Family) || !wanted(q, e.kind) {
			continue
		}
		at, _ := slices.BinarySearchFunc(best, r, x.order)
		best = slices.Insert(best, at, r)
		best = best[:min(len(best), limit)]
	}
	return best
}

// order sorts by falling score, then id and kind.
func (x *Index) order(a, b ranked) int {
	switch {
	case a.score > b.score:
		return -1
	case a.score < b.score:
		return 1
	}
	ea, eb := &x.entries[a.entry], &x.entries[b.entry]
	return cmp.Or(cmp.Compare(ea.id, eb.id), cmp.Compare(ea.kind, eb.kind))
}

func wanted(q Query, kind string) bool {
	return len(q.Kinds) == 0 || slices.Contains(q.Kinds, kind)
}

// round drops the digits of a score that depend on the order of a sum.
func round(v float64) float64 { return math.Round(v*1e6) / 1e6 }
