package index

import (
	"context"
	"errors"
	"fmt"
	"math"

	index "github.com/blevesearch/bleve_index_api"
)

// The score of an entry is the sum over the words of the question
//
//	weight(word) * max over its terms t of quality(t) * idf(t) * f/(k + f)
//
// times a factor for the share of the words that were found. f adds up, over
// the fields, boost * sqrt(times in the field) / (1 - b + b * length/usual), and
// idf(t) = ln(1 + (N-n+1/2)/(n+1/2)), n of N entries holding t in a field
// (bodies left out for light words).
// This is BM25F (Robertson, Zaragoza and Taylor 2004) with a square root on the
// counts; the terms of one word are its stem, its synonyms and what a mistyped
// word may have meant, of which an entry is credited with the best only.
const (
	scoreK         = 1.2
	scoreB         = 0.6
	missingPenalty = 0.6 // taken off when no weight of the question is found
)

// fieldRole says how much a field counts and how many terms it usually holds.
// In a wordy one light words are not looked for.
type fieldRole struct {
	name         string
	boost, usual float64
	wordy        bool
}

// entryRoles are the fields of the entries of a base.
var entryRoles = []fieldRole{
	{fieldPhrases, 6, 60, false},
	{fieldName, 5, 6, false},
	{fieldID, 5, 1, false},
	{fieldBody, 1, 70, true},
}

// scorer adds up the scores of one question over the postings of the index. One
// is used by one search at a time and may be used again.
type scorer struct {
	reader  index.IndexReader
	roles   []fieldRole
	docs    int  // how many there are
	gaps    bool // their numbers have gaps, so there may be greater ones
	learned map[string][]learnedPosting
	f       []float64 // of the term at hand
	best    []float64 // of the word at hand
	total   []float64
	found   []float64 // weight of the words found
	holding []int     // documents of the term at hand
	touched []int     // documents of the word at hand, some more than once
	doc     index.TermFieldDoc
}

func newScorer(r index.IndexReader, roles []fieldRole, docs int, gaps bool) *scorer {
	s := &scorer{reader: r, roles: roles, docs: docs, gaps: gaps}
	s.grow(docs)
	return s
}

// grow makes room for documents of numbers below n.
func (s *scorer) grow(n int) {
	buf := make([]float64, 4*n)
	for i, list := range []*[]float64{&s.f, &s.best, &s.total, &s.found} {
		part := buf[i*n : (i+1)*n : (i+1)*n]
		copy(part, *list)
		*list = part
	}
}

// score returns the score of every document for the words, 0 for those without
// any of them. The result is good until the next call.
func (s *scorer) score(ctx context.Context, words []queryWord) ([]float64, error) {
	clear(s.total)
	clear(s.found)
	all := 0.0
	for _, w := range words {
		if err := s.word(ctx, w); err != nil {
			return nil, err
		}
		if len(s.touched) > 0 {
			all += w.weight
		}
		for _, d := range s.touched {
			if s.best[d] > 0 {
				s.total[d] += w.weight * s.best[d]
				s.found[d] += w.weight
				s.best[d] = 0
			}
		}
	}
	if all > 0 {
		for d := range s.total {
			s.total[d] *= 1 - missingPenalty*(1-s.found[d]/all)
		}
	}
	return s.total, nil
}

// word leaves in s.best what each document gets for the word, and the documents
// in s.touched.
func (s *scorer) word(ctx context.Context, w queryWord) error {
	s.touched = s.touched[:0]
	for _, t := range w.terms {
		if err := s.term(ctx, t.text, w.light); err != nil {
			return err
		}
		n := float64(len(s.holding))
		idf := math.Log(1 + (float64(s.docs)-n+0.5)/(n+0.5))
		for _, d := range s.holding {
			s.best[d] = max(s.best[d], t.quality*idf*s.f[d]/(scoreK+s.f[d]))
			s.f[d] = 0
		}
		s.touched = append(s.touched, s.holding...)
	}
	return nil
}

// term leaves f of a term in s.f and the documents that hold it in s.holding.
func (s *scorer) term(ctx context.Context, text string, light bool) error {
	s.holding = s.holding[:0]
	for _, role := range s.roles {
		if light && role.wordy {
			continue
		}
		r, err := s.reader.TermFieldReader(ctx, []byte(text), role.name, true, true, false)
		if err != nil {
			return err
		}
		if err := errors.Join(s.postings(r, role), r.Close()); err != nil {
			return err
		}
	}
	for _, p := range s.learned[text] {
		if s.f[p.doc] == 0 {
			s.holding = append(s.holding, p.doc)
		}
		s.f[p.doc] += p.f
	}
	return nil
}

// postings adds one field's share to f.
func (s *scorer) postings(r index.TermFieldReader, role fieldRole) error {
	for {
		d, err := r.Next(&s.doc)
		if d == nil || err != nil {
			return err
		}
		n := d.ID.Value()
		if n >= uint64(len(s.f)) {
			if !s.gaps {
				return fmt.Errorf("document %d of %d", n, s.docs) // content.go has seen them all
			}
			s.grow(int(n) + int(n)/8 + 1)
		}
		if s.f[n] == 0 {
			s.holding = append(s.holding, int(n))
		}
		length := 1 / (d.Norm * d.Norm)
		s.f[n] += role.boost * math.Sqrt(float64(d.Freq)) / (1 - scoreB + scoreB*length/role.usual)
	}
}
