package index

import (
	"bytes"

	bleveanalysis "github.com/blevesearch/bleve/v2/analysis"
	"github.com/blevesearch/bleve/v2/registry"
)

// termsTokenizer is the name under which bleve knows spaces.
const termsTokenizer = "sootsayer-spaces"

// spaces takes terms apart at the single spaces that joinFields put between
// them. bleve's own tokenizer for that makes room for 1024 tokens every time,
// which for the short fields of a job takes longer than all the rest.
type spaces struct{}

// Tokenize returns the terms of a field.
func (spaces) Tokenize(input []byte) bleveanalysis.TokenStream {
	n := bytes.Count(input, []byte{' '}) + 1
	tokens := make([]bleveanalysis.Token, 0, n)
	out := make(bleveanalysis.TokenStream, 0, n)
	for start := 0; start < len(input); {
		end := bytes.IndexByte(input[start:], ' ')
		if end < 0 {
			end = len(input) - start
		}
		if end += start; end > start {
			tokens = append(tokens, bleveanalysis.Token{Term: input[start:end], Start: start, End: end, Position: len(out) + 1})
			out = append(out, &tokens[len(tokens)-1])
		}
		start = end + 1
	}
	return out
}

func init() { // bleve finds tokenizers by name only
	err := registry.RegisterTokenizer(termsTokenizer, func(map[string]any, *registry.Cache) (bleveanalysis.Tokenizer, error) { return spaces{}, nil })
	if err != nil {
		panic(err)
	}
}
