package kb

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/token"
)

// Limits on one file. They are far above what people write and keep a hostile
// file from taking the parser's stack or an afternoon.
const (
	maxFileBytes = 16 << 20
	maxNesting   = 32
	maxDocuments = 256
	maxKeys      = 12_000 // of a mapping in block style, on which the parser recurses
)

// checkBytes refuses what is too long or not UTF-8 text.
func checkBytes(file, text string) *Problem {
	if len(text) > maxFileBytes {
		return &Problem{Pos: Pos{File: file}, What: fmt.Sprintf("the file is %d MB long", len(text)>>20),
			Do: fmt.Sprintf("split it into files of at most %d MB", maxFileBytes>>20)}
	}
	if utf8.ValidString(text) && !strings.ContainsRune(text, 0) {
		return nil
	}
	line, col := 1, 1
	for i, r := range text {
		if r == 0 || r == utf8.RuneError && !strings.HasPrefix(text[i:], "\ufffd") {
			break
		}
		if col++; r == '\n' {
			line, col = line+1, 1
		}
	}
	return &Problem{Pos: Pos{File: file, Line: line, Col: col}, What: "a byte here is not UTF-8 text",
		Do: "save the file as UTF-8"}
}

// checkTokens refuses, before the parser sees them, the parts of YAML that a
// base does without, and nesting and lengths that no base has.
func checkTokens(file string, tokens token.Tokens) *Problem {
	docs := 0
	var deep depths
	for i, tk := range tokens {
		at := func(what, do string) *Problem {
			return &Problem{Pos: tokenPos(file, tk), What: what, Do: do}
		}
		if what, ok := notUsed[tk.Type]; ok {
			return at(what+" not used in a base", "write the value out in each place, or put the text in quotes if it is meant as text")
		}
		if tk.Type == token.DocumentHeaderType {
			if docs++; i+1 < len(tokens) && tokens[i+1].Type == token.DocumentHeaderType {
				return at("nothing stands between two --- lines", "remove one of them")
			}
		}
		deep.add(tokens, i)
		switch {
		case docs > maxDocuments:
			return at(fmt.Sprintf("more than %d documents in one file", maxDocuments), "remove the --- lines or split the file")
		case deep.brackets > maxNesting || deep.dashes > maxNesting || len(deep.mappings) > maxNesting:
			return at(fmt.Sprintf("more than %d values inside each other", maxNesting), "close the brackets above or mend the indentation")
		case deep.keys() > maxKeys:
			return at(fmt.Sprintf("more than %d lines in one mapping", maxKeys), "split it")
		}
	}
	return nil
}

// depths follows how deep tokens stand.
type depths struct {
	brackets int // open ones
	dashes   int // one after the other
	mappings []openMapping
}

// openMapping is a mapping in block style that may go on.
type openMapping struct{ col, keys int }

// keys is how many keys the innermost mapping has so far.
func (d *depths) keys() int {
	if len(d.mappings) == 0 {
		return 0
	}
	return d.mappings[len(d.mappings)-1].keys
}

func (d *depths) add(tokens token.Tokens, i int) {
	tk := tokens[i]
	if tk.Type == token.SequenceEntryType && i > 0 && tokens[i-1].Type == token.SequenceEntryType {
		d.dashes++
	} else {
		d.dashes = 0
	}
	switch tk.Type {
	case token.MappingStartType, token.SequenceStartType:
		d.brackets++
	case token.MappingEndType, token.SequenceEndType:
		d.brackets--
	case token.DocumentHeaderType:
		d.mappings = nil
	case token.SequenceEntryType:
		if d.brackets == 0 {
			d.closeTo(tk.Position.Column)
		}
	case token.MappingValueType:
		if d.brackets > 0 || i == 0 {
			return
		}
		col := tokens[i-1].Position.Column
		d.closeTo(col)
		if n := len(d.mappings); n == 0 || d.mappings[n-1].col < col {
			d.mappings = append(d.mappings, openMapping{col: col})
		}
		d.mappings[len(d.mappings)-1].keys++
	}
}

// closeTo ends the mappings that stand further in than a column.
func (d *depths) closeTo(col int) {
	for n := len(d.mappings); n > 0 && d.mappings[n-1].col > col; n = len(d.mappings) {
		d.mappings = d.mappings[:n-1]
	}
}

// notUsed are the kinds of tokens a base does without: a value that stands in
// one place and is used in others has no single position to report, and the
// export would lose it.
var notUsed = map[token.Type]string{
	token.AnchorType:     "anchors (&name) are",
	token.AliasType:      "aliases (*name) are",
	token.MergeKeyType:   "merge keys (<<) are",
	token.TagType:        "tags (!name) are",
	token.MappingKeyType: "keys after a question mark are",
	token.DirectiveType:  "directives (%NAME) are",
}
