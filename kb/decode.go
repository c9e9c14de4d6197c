package kb

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// decoder reads the nodes of one document into the types of the format and
// collects everything that is wrong with them.
type decoder struct {
	file     string
	entry    string   // label of the entry being read
	path     []string // from the entry to the value being read
	problems Problems
}

// decodeDocument reads one document. This stage judges form alone: fields,
// types and the rules of the tags, the same as the JSON Schema does. What ids
// mean is left to lint.
func decodeDocument(file string, root *node) (*Base, Problems) {
	d := &decoder{file: file}
	b := &Base{Settings: DefaultSettings()}
	if root.kind != mapNode {
		d.problems = append(d.problems, Problem{Pos: root.pos(file), What: "the file holds " + root.kindName() + ", not fields",
			Do: "begin it with the line: schema: 1"})
		return b, d.problems
	}
	if p, newer := newerSchema(file, root); newer {
		return b, Problems{p}
	}
	d.structure(root, reflect.ValueOf(b).Elem())
	return b, d.problems
}

// newerSchema keeps a file of a later version from being judged by the rules of
// this one.
func newerSchema(file string, root *node) (Problem, bool) {
	v, _ := root.child("schema")
	if v == nil || v.kind != numberNode || !(v.number > SchemaVersion) {
		return Problem{}, false
	}
	return Problem{Pos: v.pos(file), What: fmt.Sprintf("the file has schema %s and this program reads schema %d", number(v.number), SchemaVersion),
		Do: "update sootsayer, or use files written for it"}, true
}

// SchemaVersion is the version of the file format that this package reads and
// writes.
const SchemaVersion = 1

// complain reports what is wrong with the value at the decoder's path.
func (d *decoder) complain(n *node, c complaint) {
	what := c.what
	if len(d.path) > 0 {
		what = strconv.Quote(strings.Join(d.path, ".")) + " " + what
	}
	d.report(n, what, c.do)
}

func (d *decoder) report(n *node, what, do string) {
	d.problems = append(d.problems, Problem{Pos: n.pos(d.file), Entry: d.entry, What: what, Do: do})
}

// within runs f one step further down the path.
func (d *decoder) within(step string, f func()) {
	d.path = append(d.path, step)
	f()
	d.path = d.path[:len(d.path)-1]
}

// value reads a node into a Go value of the format.
func (d *decoder) value(n *node, v reflect.Value, r rules) {
	if n.kind == nullNode {
		d.complain(n, complaint{"is empty", "write a value or leave the line out"})
		return
	}
	if special, ok := specials[v.Type()]; ok {
		special(d, n, v, r)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		fresh := reflect.New(v.Type().Elem())
		d.value(n, fresh.Elem(), r)
		v.Set(fresh)
	case reflect.Struct:
		d.structure(n, v)
	case reflect.Slice:
		d.list(n, v, r)
	case reflect.Map:
		d.mapping(n, v, r)
	default:
		d.scalar(n, v, r)
	}
}

// structure reads a mapping into a struct.
func (d *decoder) structure(n *node, v reflect.Value) {
	if n.kind != mapNode {
		d.complain(n, wrongKind(n, "a mapping", "write its fields, such as {"+strings.Join(exampleFields(v.Type()), ": ..., ")+": ...}"))
		return
	}
	info := infoOf(v.Type())
	seen := make([]*node, len(info.fields))
	for i, key := range n.keys {
		f, ok := info.byName[key.text]
		switch {
		case !ok || key.kind != textNode:
			d.unknownField(key, v.Type(), info)
		case seen[f] != nil:
			d.givenTwice(key, seen[f])
		default:
			seen[f] = key
			field := info.fields[f]
			d.within(field.name, func() { d.value(n.items[i], v.Field(field.index), field.rules) })
		}
	}
	for i, f := range info.fields {
		if f.rules.required && seen[i] == nil {
			d.within(f.name, func() { d.complain(n, complaint{"is missing", missingHint(f)}) })
		}
	}
}

func (d *decoder) unknownField(key *node, t reflect.Type, info *structInfo) {
	do := "its fields are " + strings.Join(info.names(), ", ")
	if near, ok := Nearest(strings.ToLower(key.text), info.names()); ok {
		do = fmt.Sprintf("did you mean %q?", near)
	}
	d.report(key, fmt.Sprintf("%q is not a field of %s", key.text, nounOf(t)), do)
}

func (d *decoder) givenTwice(key, first *node) {
	d.report(key, fmt.Sprintf("%q is given twice, first at %s", key.text, first.pos(d.file)), "remove one of the two")
}

// list reads a list; its items are entries, texts or lists of texts.
func (d *decoder) list(n *node, v reflect.Value, r rules) {
	if n.kind != listNode {
		do := "write a list, such as [...]"
		if n.kind == textNode {
			do = "put it in brackets: [" + n.text + "]"
		}
		d.complain(n, wrongKind(n, "a list", do))
		return
	}
	if c := r.checkLen(len(n.items)); !c.none() {
		d.complain(n, c)
	}
	if len(n.items) == 0 {
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.items), len(n.items)))
	for i, item := range n.items {
		step := strconv.Itoa(i + 1)
		if e, ok := v.Index(i).Addr().Interface().(entry); ok {
			d.listed(item, v.Index(i), e, step)
			continue
		}
		d.within(step, func() { d.value(item, v.Index(i), r.item()) })
	}
}

// listed reads one entry of a base's list. The path starts anew within it.
func (d *decoder) listed(n *node, v reflect.Value, e entry, number string) {
	outer, before := d.path, len(d.problems)
	d.entry, d.path = e.kind()+" "+number, nil
	if id, _ := n.child("id"); id != nil && id.kind == textNode {
		d.entry = entryLabel(e.kind(), id.text)
	}
	d.value(n, v, rules{})
	*e.source() = origin{file: d.file, node: n, broken: len(d.problems) > before}
	d.entry, d.path = "", outer
}

// mapping reads a mapping with keys of the author's choice.
func (d *decoder) mapping(n *node, v reflect.Value, r rules) {
	if n.kind != mapNode {
		d.complain(n, wrongKind(n, "a mapping", "write pairs, such as {a: 1, b: 2}"))
		return
	}
	if c := r.checkLen(len(n.items)); !c.none() {
		d.complain(n, c)
	}
	if len(n.items) == 0 {
		return
	}
	out := reflect.MakeMapWithSize(v.Type(), len(n.items))
	d.pairs(n, func(key string, item *node) {
		val := reflect.New(v.Type().Elem()).Elem()
		d.value(item, val, r.item())
		out.SetMapIndex(reflect.ValueOf(key), val)
	})
	v.Set(out)
}

// pairs goes through a mapping in the order written, refusing keys that are not
// text and keys given twice.
func (d *decoder) pairs(n *node, f func(key string, item *node)) {
	seen := make(map[string]*node, len(n.keys))
	for i, key := range n.keys {
		switch {
		case key.kind != textNode:
			d.complain(key, complaint{"has a key that is " + key.kindName() + ", not text", quoteHint(key)})
		case !notBlank.MatchString(key.text):
			d.complain(key, complaint{"has a blank key", "write some text"})
		case seen[key.text] != nil:
			d.givenTwice(key, seen[key.text])
		default:
			seen[key.text] = key
			d.within(key.text, func() { f(key.text, n.items[i]) })
		}
	}
}
