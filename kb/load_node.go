package kb

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// node is a YAML value with its place. A mapping has as many keys as items.
type node struct {
	kind      nodeKind
	line, col int
	text      string  // of a scalar, as written but without quotes
	number    float64 // of a number
	keys      []*node
	items     []*node
}

type nodeKind int

const (
	nullNode nodeKind = iota
	boolNode
	numberNode
	textNode
	listNode
	mapNode
)

func (n *node) pos(file string) Pos { return Pos{File: file, Line: n.line, Col: n.col} }

// kindName says what a value is, in the words of a message.
func (n *node) kindName() string {
	switch n.kind {
	case nullNode:
		return "empty"
	case boolNode:
		return n.text
	case numberNode:
		return "a number"
	case textNode:
		return "text"
	case listNode:
		return "a list"
	}
	return "a mapping"
}

// convert turns the parser's tree into nodes. Scalars are resolved here by the
// core schema of YAML 1.2 and not by the parser, which reads 010 as octal and
// 1e3 as text.
func convert(n ast.Node) (*node, error) {
	switch v := n.(type) {
	case nil:
		return nil, nil
	case *ast.MappingNode:
		return convertMapping(v, v.Values)
	case *ast.MappingValueNode:
		return convertMapping(v, []*ast.MappingValueNode{v})
	case *ast.SequenceNode:
		out := newNode(listNode, v.GetToken())
		for _, item := range v.Values {
			c, err := convertValue(item, v)
			if err != nil {
				return nil, err
			}
			out.items = append(out.items, c)
		}
		return out, nil
	case *ast.LiteralNode:
		out := newNode(textNode, v.GetToken())
		out.text = v.Value.Value
		return out, nil
	case *ast.StringNode:
		tk := v.GetToken()
		if tk.Type == token.SingleQuoteType || tk.Type == token.DoubleQuoteType {
			out := newNode(textNode, tk)
			out.text = v.Value
			return out, nil
		}
		return plainScalar(v.Value, tk), nil
	case *ast.NullNode:
		out := newNode(nullNode, v.GetToken())
		if v.GetToken().Type == token.NullType {
			out.text = v.GetToken().Value
		}
		return out, nil
	case ast.ScalarNode:
		return plainScalar(v.GetToken().Value, v.GetToken()), nil
	}
	return nil, fmt.Errorf("a %s cannot stand in a base", n.Type().YAMLName())
}

// convertValue is convert for a value that may be missing altogether.
func convertValue(n, parent ast.Node) (*node, error) {
	c, err := convert(n)
	if c == nil && err == nil {
		return newNode(nullNode, parent.GetToken()), nil
	}
	return c, err
}

func convertMapping(n ast.Node, values []*ast.MappingValueNode) (*node, error) {
	out := newNode(mapNode, n.GetToken())
	for _, pair := range values {
		key, err := convertValue(pair.Key, pair)
		if err != nil {
			return nil, err
		}
		val, err := convertValue(pair.Value, pair)
		if err != nil {
			return nil, err
		}
		if val.kind == nullNode && val.text == "" {
			val.line, val.col = key.line, key.col // nothing is written: point at the name
		}
		out.keys = append(out.keys, key)
		out.items = append(out.items, val)
	}
	// A block mapping's own token is its first colon; it begins at its first key.
	if m, flow := n.(*ast.MappingNode); len(out.keys) > 0 && !(flow && m.IsFlowStyle) {
		out.line, out.col = out.keys[0].line, out.keys[0].col
	}
	return out, nil
}

func newNode(kind nodeKind, tk *token.Token) *node {
	out := &node{kind: kind}
	if tk != nil && tk.Position != nil {
		out.line, out.col = tk.Position.Line, tk.Position.Column
	}
	return out
}

// The core schema of YAML 1.2.2, section 10.3.2.
var (
	coreNull  = regexp.MustCompile(`^(null|Null|NULL|~|)$`)
	coreBool  = regexp.MustCompile(`^(true|True|TRUE|false|False|FALSE)$`)
	coreFloat = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$`)
	coreOct   = regexp.MustCompile(`^0o[0-7]+$`)
	coreHex   = regexp.MustCompile(`^0x[0-9a-fA-F]+$`)
	coreInf   = regexp.MustCompile(`^[-+]?(\.inf|\.Inf|\.INF)$`)
	coreNaN   = regexp.MustCompile(`^(\.nan|\.NaN|\.NAN)$`)
)

// plainScalar resolves text written without quotes. A number too large for a
// float64 becomes infinite and is refused where it is used.
func plainScalar(text string, tk *token.Token) *node {
	out := newNode(textNode, tk)
	out.text = text
	if text != "" && !strings.ContainsRune("0123456789+-.~nNtTfF", rune(text[0])) {
		return out // no number, truth value or null begins so
	}
	switch {
	case coreNull.MatchString(text):
		out.kind = nullNode
	case coreBool.MatchString(text):
		out.kind = boolNode
	case coreFloat.MatchString(text):
		out.kind = numberNode
		out.number, _ = strconv.ParseFloat(text, 64)
	case coreOct.MatchString(text), coreHex.MatchString(text):
		out.kind = numberNode
		out.number = prefixed(text)
	case coreInf.MatchString(text):
		out.kind, out.number = numberNode, math.Inf(1)
		if text[0] == '-' {
			out.number = math.Inf(-1)
		}
	case coreNaN.MatchString(text):
		out.kind, out.number = numberNode, math.NaN()
	}
	return out
}

// prefixed reads 0o17 and 0x1f.
func prefixed(text string) float64 {
	v, err := strconv.ParseUint(text, 0, 64)
	if err != nil {
		return math.Inf(1)
	}
	return float64(v)
}
