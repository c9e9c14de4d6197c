package index

import (
	"maps"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/custom"
	"github.com/blevesearch/bleve/v2/analysis/tokenizer/whitespace"
	"github.com/blevesearch/bleve/v2/mapping"
)

// termsAnalyzer is the only analyzer that bleve is given: it takes the terms
// that our own analyzer wrote, apart at the spaces between them.
const termsAnalyzer = "sootsayer-terms"

// newMapping describes the index to bleve: a fixed set of fields, nothing
// stored (texts come from the base) and no positions (we highlight ourselves).
func newMapping() (mapping.IndexMapping, error) {
	m := bleve.NewIndexMapping()
	m.StoreDynamic, m.IndexDynamic, m.DocValuesDynamic = false, false, false
	err := m.AddCustomAnalyzer(termsAnalyzer, map[string]any{"type": custom.Name, "tokenizer": whitespace.Name})
	if err != nil {
		return nil, err
	}
	m.DefaultAnalyzer = termsAnalyzer
	doc := bleve.NewDocumentStaticMapping()
	for _, name := range []string{fieldPhrases, fieldName, fieldBody, fieldID, fieldWords} {
		f := bleve.NewTextFieldMapping()
		f.Analyzer = termsAnalyzer
		f.Store, f.IncludeInAll, f.IncludeTermVectors, f.DocValues = false, false, false, false
		doc.AddFieldMappingsAt(name, f)
	}
	m.DefaultMapping = doc
	return m, nil
}

// document returns the terms of an entry, by field.
func (a *analyzer) document(e *entry) map[string]any {
	fields := map[string][]string{}
	words := map[string]bool{}
	for _, p := range e.texts {
		n := a.read(p.text)
		for _, t := range n.terms() {
			fields[p.field()] = append(fields[p.field()], t.text)
		}
		for _, t := range n.tokens {
			if t.kind == wordToken || t.kind == codeToken {
				words[t.word] = true
			}
		}
	}
	fields[fieldID] = []string{e.id}
	fields[fieldWords] = slices.Sorted(maps.Keys(words))
	doc := make(map[string]any, len(fields))
	for name, terms := range fields {
		doc[name] = strings.Join(terms, " ")
	}
	return doc
}
