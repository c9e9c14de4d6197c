package index

import (
	"maps"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/custom"
	"github.com/blevesearch/bleve/v2/mapping"
)

// termsAnalyzer is the only analyzer that bleve is given: it takes the terms
// that our own analyzer wrote, apart at the spaces between them.
const termsAnalyzer = "sootsayer-terms"

// entryFields are the fields of the index of a base.
var entryFields = []string{fieldPhrases, fieldName, fieldBody, fieldID, fieldWords}

// newMapping describes an index to bleve: a fixed set of fields, nothing
// stored (texts come from the base or the journal) and no positions (we
// highlight ourselves). Of the fields named in sorted every document's value
// can be read as well.
func newMapping(fields []string, sorted ...string) (mapping.IndexMapping, error) {
	m := bleve.NewIndexMapping()
	m.StoreDynamic, m.IndexDynamic, m.DocValuesDynamic = false, false, false
	err := m.AddCustomAnalyzer(termsAnalyzer, map[string]any{"type": custom.Name, "tokenizer": termsTokenizer})
	if err != nil {
		return nil, err
	}
	m.DefaultAnalyzer = termsAnalyzer
	doc := bleve.NewDocumentStaticMapping()
	for _, name := range fields {
		f := bleve.NewTextFieldMapping()
		f.Analyzer = termsAnalyzer
		f.Store, f.IncludeInAll, f.IncludeTermVectors, f.DocValues = false, false, false, slices.Contains(sorted, name)
		doc.AddFieldMappingsAt(name, f)
	}
	m.DefaultMapping = doc
	return m, nil
}

// document returns the terms of an entry, by field.
func (a *analyzer) document(e *entry) map[string]any {
	fields := a.fields(e.texts, passage.field)
	fields[fieldID] = []string{e.id}
	return joinFields(fields)
}

// fields returns the terms of texts, by the field that each goes to, and the
// words as written.
func (a *analyzer) fields(texts []passage, of func(passage) string) map[string][]string {
	fields := map[string][]string{}
	words := map[string]bool{}
	for _, p := range texts {
		field := of(p)
		n := a.read(p.text)
		for _, t := range n.terms() {
			fields[field] = append(fields[field], t.text)
		}
		for _, t := range n.tokens {
			if t.kind == wordToken || t.kind == codeToken {
				words[t.word] = true
			}
		}
	}
	fields[fieldWords] = slices.Sorted(maps.Keys(words))
	return fields
}

// joinFields writes the terms of each field as the text that bleve takes apart
// at the spaces.
func joinFields(fields map[string][]string) map[string]any {
	doc := make(map[string]any, len(fields))
	for name, terms := range fields {
		doc[name] = strings.Join(terms, " ")
	}
	return doc
}
