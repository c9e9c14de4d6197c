package index

import (
	"context"
	"fmt"
	"slices"

	index "github.com/blevesearch/bleve_index_api"
)

// content is what a search needs to know of the opened index: which entry each
// of bleve's documents is, and the words that stand in it.
type content struct {
	entryOf    []int // by document number
	documentOf []int // by entry
	vocabulary *vocabulary
	learned    map[string][]learnedPosting
}

// readContent reads the opened index.
func (x *Index) readContent() (*content, error) {
	number := make(map[string]int, len(x.entries))
	for i := range x.entries {
		number[x.entries[i].docID()] = i
	}
	s := &content{documentOf: make([]int, len(x.entries))}
	ids, err := x.reader.DocIDReaderAll()
	if err != nil {
		return nil, err
	}
	defer ids.Close()
	for {
		id, err := ids.Next()
		if err != nil {
			return nil, err
		}
		if id == nil {
			break
		}
		name, err := x.reader.ExternalID(id)
		if err != nil {
			return nil, err
		}
		entry, ok := number[name]
		if !ok || id.Value() != uint64(len(s.entryOf)) || entry >= len(s.documentOf) {
			return nil, fmt.Errorf("the index holds %q, which the base does not; delete the index folder to have it built anew", name)
		}
		s.documentOf[entry] = len(s.entryOf)
		s.entryOf = append(s.entryOf, entry)
	}
	if len(s.entryOf) != len(x.entries) {
		return nil, fmt.Errorf("the index holds %d entries, the base %d; delete the index folder to have it built anew", len(s.entryOf), len(x.entries))
	}
	s.vocabulary, err = x.readVocabulary(x.reader)
	return s, err
}

// readVocabulary lists the words of the index, of the synonyms and of the
// learned phrases.
func (x *Index) readVocabulary(r index.IndexReader) (*vocabulary, error) {
	dict, err := r.FieldDict(fieldWords)
	if err != nil {
		return nil, err
	}
	defer dict.Close()
	count := map[string]int{}
	for {
		d, err := dict.Next()
		if err != nil {
			return nil, err
		}
		if d == nil {
			break
		}
		count[d.Term] += int(d.Count)
	}
	more := slices.Clone(x.analyzer.members)
	for _, p := range x.phrases {
		more = append(more, p.Text)
	}
	for _, text := range more {
		for _, t := range scan(text) {
			if t.kind == wordToken {
				count[t.word]++
			}
		}
	}
	return newVocabulary(count, x.indexed), nil
}

// indexed tells whether any form of a word is indexed.
func (x *Index) indexed(word string) bool {
	stem := x.analyzer.stem(word)
	return len(x.analyzer.concepts[stem]) > 0 || holdsTerm(x.reader, stem, fieldPhrases, fieldName, fieldBody)
}

// holdsTerm tells whether a term stands in one of the fields. What cannot be
// read does not.
func holdsTerm(reader index.IndexReader, term string, fields ...string) bool {
	for _, field := range fields {
		r, err := reader.TermFieldReader(context.Background(), []byte(term), field, false, false, false)
		if err != nil {
			return false
		}
		found := r.Count() > 0
		if r.Close() != nil || found {
			return found
		}
	}
	return false
}
