package kb

import "reflect"

// Texts is one text or a list of texts. In YAML a number may stand for the text
// that it is written with, as in 0.8 or [17, 18].
type Texts []string

// Places tells where the values of a YAML file stand. The zero Places knows no
// place.
type Places struct{ origin origin }

// At returns the place of a value: path holds keys of mappings and indexes of
// lists, counted from 0. Where nothing is written there it is the place of what
// stands around it.
func (p Places) At(path ...string) Pos { return p.origin.at(path...) }

// AtKey returns the place of the last key of a path.
func (p Places) AtKey(path ...string) Pos { return p.origin.atKey(path...) }

// ReadYAML reads a file of another format than that of a base, by the same
// strict rules: one document, no unknown fields, every problem with its place.
// What v points to is a struct of fields with the tags of Base, filled as far
// as the file could be read. The format counts its versions in a field schema.
func ReadYAML(file string, data []byte, v any) (Places, Problems) {
	at := Places{origin{file: file}}
	docs, bad := parseYAML(file, data)
	if bad != nil {
		return at, Problems{*bad}
	}
	if len(docs) != 1 || docs[0] == nil || docs[0].kind == nullNode {
		p := Problem{Pos: Pos{File: file}, What: "the file is empty", Do: "begin it with the line: schema: 1"}
		if len(docs) > 1 {
			p.What, p.Do = "the file holds several documents", "keep one and remove the --- lines"
		}
		return at, Problems{p}
	}
	root := docs[0]
	at.origin.node = root
	d := &decoder{file: file}
	if root.kind != mapNode {
		d.report(root, "the file holds "+root.kindName()+", not fields", "begin it with the line: schema: 1")
		return at, d.problems
	}
	if p, newer := newerSchema(file, root); newer {
		return at, Problems{p}
	}
	d.structure(root, reflect.ValueOf(v).Elem())
	return at, d.problems.InOrder()
}

// texts reads one text or a list of them.
func (d *decoder) texts(n *node, v reflect.Value, _ rules) {
	items := []*node{n}
	if n.kind == listNode {
		items = n.items
	}
	if len(items) == 0 {
		d.complain(n, complaint{"holds nothing", "write some text"})
	}
	out := make(Texts, 0, len(items))
	for _, item := range items {
		switch {
		case item.kind != textNode && item.kind != numberNode:
			d.complain(item, wrongKind(item, "text or a list of texts", quoteHint(item)))
		case !notBlank.MatchString(item.text):
			d.complain(item, complaint{"is blank", "write some text"})
		default:
			out = append(out, item.text)
		}
	}
	v.Set(reflect.ValueOf(out))
}
