package kb

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// parseYAML reads the documents of one file. An empty document comes as nil.
// It stops at the first place that is not YAML.
func parseYAML(file string, data []byte) ([]*node, *Problem) {
	text := lineEnds.Replace(strings.TrimPrefix(string(data), "\ufeff"))
	if p := checkBytes(file, text); p != nil {
		return nil, p
	}
	tokens, err := guarded(func() (token.Tokens, error) { return lexer.Tokenize(text), nil })
	if err != nil {
		return nil, syntaxProblem(file, err)
	}
	tokens = slices.DeleteFunc(tokens, func(tk *token.Token) bool { return tk.Type == token.CommentType })
	if p := checkTokens(file, tokens); p != nil {
		return nil, p
	}
	parsed, err := guarded(func() (*ast.File, error) { return parser.Parse(tokens, 0, parser.AllowDuplicateMapKey()) })
	if err != nil {
		return nil, syntaxProblem(file, err)
	}
	docs := make([]*node, len(parsed.Docs))
	for i, d := range parsed.Docs {
		n, err := convert(d.Body)
		if err != nil {
			return nil, syntaxProblem(file, err)
		}
		docs[i] = n
	}
	return docs, nil
}

// lineEnds makes all line ends alike, as YAML asks for; the parser keeps a
// carriage return within quotes.
var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// guarded calls the YAML library and turns a panic of it into an error: a file
// must never bring the program down.
func guarded[T any](f func() (T, error)) (v T, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the parser gave up on it: %v", r)
		}
	}()
	return f()
}

// syntaxProblem puts an error of the parser into our form.
func syntaxProblem(file string, err error) *Problem {
	p := &Problem{Pos: Pos{File: file}}
	var at interface {
		GetMessage() string
		GetToken() *token.Token
	}
	if errors.As(err, &at) { // its Error writes half the file, slowly
		p.Pos, p.What = tokenPos(file, at.GetToken()), "this is not YAML: "+cleanMessage(at.GetMessage())
	} else {
		p.What = "this is not YAML: " + cleanMessage(err.Error())
	}
	p.Do = "mind indentation, brackets and quotes here and on the line above"
	for _, h := range syntaxHints {
		if strings.Contains(p.What, h.when) {
			p.Do = h.do
			break
		}
	}
	return p
}

// syntaxHints say what most often is behind a message of the parser.
var syntaxHints = []struct{ when, do string }{
	{"tab", "indent with spaces"},
	{"mapping value is not allowed", `put text that holds ": " in quotes`},
	{"reserved character", "put the text in quotes"},
	{"end character", "end the text with the same quote it began with"},
	{"must be specified", "close the bracket before the line ends, or put a comma between the values"},
}

// cleanMessage names control characters, which would break the line.
func cleanMessage(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, strings.ReplaceAll(s, "'\t'", "tab"))
}

func tokenPos(file string, tk *token.Token) Pos {
	if tk == nil || tk.Position == nil {
		return Pos{File: file}
	}
	return Pos{File: file, Line: tk.Position.Line, Col: tk.Position.Column}
}
