package index

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	index "github.com/blevesearch/bleve_index_api"

	"sootsayer/kb"
)

// Search returns the past jobs that hold words of the query: in the complaint,
// the reasons for which they were opened again, the notes, the names of their
// causes, or what the shop calls the appliance. The highest score comes first,
// at equal scores the job closed last. Kinds of the query are not looked at. The
// error is [ErrClosed], the context's, or wraps what went wrong in the files of
// the index or in its source.
func (x *JobIndex) Search(ctx context.Context, q Query) ([]Hit, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	x.base.mu.RLock()
	defer x.base.mu.RUnlock()
	if x.reader == nil || x.base.reader == nil {
		return nil, ErrClosed
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	words, err := x.words(q.Text)
	if err != nil {
		return nil, fmt.Errorf("searching the past jobs: %w", err)
	}
	if len(words) == 0 {
		return nil, nil
	}
	scoring, ok := x.scorers.Get().(*scorer)
	if !ok {
		scoring = newScorer(x.reader, jobRoles, x.jobs, true)
	}
	scores, err := scoring.score(ctx, words)
	var best []rankedJob
	if err == nil {
		best, err = x.selectBest(ctx, scores, q)
	}
	if err != nil {
		return nil, fmt.Errorf("searching the past jobs: %w", err)
	}
	x.scorers.Put(scoring) // not after an error, which may leave half a sum in it
	return x.hits(best, words)
}

// words reads a question. A word counts with those that past jobs hold in its
// place by a typing error.
func (x *JobIndex) words(text string) ([]queryWord, error) {
	q := x.analyzer.ask(text, x.vocabulary)
	for i, t := range q.tokens {
		if t.kind != wordToken || q.keys[i] == "" || faintWords[t.word] || negators[t.word] {
			continue
		}
		meant, err := x.mistyped(t.word)
		if err != nil {
			return nil, err
		}
		if len(meant) == 0 {
			continue
		}
		known := q.guessesAt(i)
		if known == nil {
			known = []guess{{word: t.word, quality: 1, stem: q.keys[i]}}
		}
		has := func(g guess) bool {
			return slices.ContainsFunc(known, func(k guess) bool { return k.stem == g.stem })
		}
		q.setGuesses(i, append(known, slices.DeleteFunc(meant, has)...))
	}
	return queryWords(q), nil
}

// mostMistyped is how many spellings of a word are looked for besides the right
// one; what is longer than longestWord letters is no word.
const (
	mostMistyped = 5
	longestWord  = 40
)

// mistyped lists the words of past jobs that stand there for a word by a typing
// error: they begin with the same letter and are no words of the trade or of
// plain English themselves.
func (x *JobIndex) mistyped(word string) ([]guess, error) {
	letters := []rune(word)
	most := typingErrors(len(letters))
	fuzzy, ok := x.reader.(index.IndexReaderFuzzy)
	if most == 0 || len(letters) > longestWord || !ok {
		return nil, nil
	}
	dict, err := fuzzy.FieldDictFuzzy(fieldWords, word, most, string(letters[:1]))
	if err != nil {
		return nil, err
	}
	defer dict.Close()
	stem := x.analyzer.stem(word)
	var out []guess
	for {
		d, err := dict.Next()
		if err != nil {
			return nil, err
		}
		if d == nil {
			break
		}
		g := guess{word: d.Term, stem: x.analyzer.stem(d.Term)}
		if g.stem == stem || x.base.content.vocabulary.holds(g.word) || x.base.indexed(g.word) {
			continue
		}
		g.quality = 1 - qualityError*float64(kb.EditDistance(letters, []rune(g.word), most))
		out = append(out, g)
	}
	slices.SortFunc(out, func(a, b guess) int { return cmp.Or(cmp.Compare(b.quality, a.quality), cmp.Compare(a.word, b.word)) })
	return out[:min(len(out), mostMistyped)], nil
}

// hits reads the jobs that were found.
func (x *JobIndex) hits(best []rankedJob, words []queryWord) ([]Hit, error) {
	var hits []Hit
	for _, r := range best {
		j, closed, err := x.source.Closed(r.id)
		if err != nil {
			return nil, err
		}
		if !closed {
			continue // opened again since the index was brought up to date
		}
		hits = append(hits, Hit{Kind: KindJob, ID: j.ID, Name: strings.Join(causeNames(x.causes, j.Causes), " + "), Score: r.score,
			Fragments: x.analyzer.fragments(j.passages(x.causes), words), Job: &j})
	}
	return hits, nil
}
