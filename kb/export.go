package kb

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// YAML writes the base as one file in the form of the contract, which Load
// reads back to an equal base. Text that is not UTF-8 and numbers that are not
// finite are errors; comments and the division into files are lost.
func (b *Base) YAML() ([]byte, error) {
	w := &yamlWriter{}
	root := reflect.ValueOf(b).Elem()
	for _, f := range infoOf(root.Type()).fields {
		v := root.Field(f.index)
		switch {
		case f.name == "schema":
			w.line("", fmt.Sprintf("schema: %d", SchemaVersion))
			continue
		case f.typ.Kind() != reflect.Slice:
			w.field("", f.name, v)
			continue
		}
		if v.Len() == 0 {
			continue
		}
		w.line("", f.name+":")
		for i := range v.Len() {
			w.entry(f.name, v.Index(i))
		}
	}
	return w.out.Bytes(), w.err
}

// yamlWriter writes block style for the fields of entries and for what is too
// long for a line, flow style for the rest.
type yamlWriter struct {
	out   bytes.Buffer
	where string // the entry being written, for errors
	err   error
}

// flowWidth is how long a value in flow style may be.
const flowWidth = 100

func (w *yamlWriter) line(indent, text string) { w.out.WriteString(indent + text + "\n") }

func (w *yamlWriter) fail(format string, args ...any) {
	if w.err == nil {
		w.err = fmt.Errorf("%s: "+format, append([]any{w.where}, args...)...)
	}
}

// entry writes one item of a list of the base.
func (w *yamlWriter) entry(list string, v reflect.Value) {
	e, ok := v.Addr().Interface().(entry)
	if !ok {
		w.where = list
		w.line("  ", "- "+w.flow(v))
		return
	}
	w.where = label(e)
	before := w.out.Len()
	for _, f := range infoOf(v.Type()).fields {
		if val := v.Field(f.index); !f.omit || !val.IsZero() {
			w.field("    ", f.name, val)
		}
	}
	// The first field stands on the line of the dash.
	copy(w.out.Bytes()[before:], "  - ")
}

// field writes a named value below an indent.
func (w *yamlWriter) field(indent, name string, v reflect.Value) {
	flow := w.flow(v)
	pairs, listed := w.parts(v)
	switch {
	case len(flow) <= flowWidth || len(pairs) == 0:
		w.line(indent, name+": "+flow)
	case listed:
		w.line(indent, name+":")
		for _, p := range pairs {
			w.line(indent, "  - "+w.flow(p.value))
		}
	default:
		w.line(indent, name+":")
		for _, p := range pairs {
			w.line(indent, "  "+w.text(p.name)+": "+w.flow(p.value))
		}
	}
}

// part is a member of a mapping or, without a name, an item of a list.
type part struct {
	name  string
	value reflect.Value
}

// parts takes a value apart into the members it is written with; listed tells
// lists from mappings. A scalar has none.
func (w *yamlWriter) parts(v reflect.Value) (out []part, listed bool) {
	switch x := v.Interface().(type) {
	case Table:
		for _, p := range x {
			out = append(out, part{p.Outcome, reflect.ValueOf(p.P)})
		}
		return out, false
	case Rows:
		for _, r := range x {
			out = append(out, part{r.Cause, reflect.ValueOf(r.Table)})
		}
		return out, false
	case Bases:
		if len(x) == 1 {
			return w.parts(reflect.ValueOf(x[0]))
		}
	case Tolerance:
		return nil, false
	case KeepsBack:
		return w.parts(reflect.ValueOf(x.Checks))
	}
	switch v.Kind() {
	case reflect.Pointer:
		return w.parts(v.Elem())
	case reflect.Struct:
		for _, f := range infoOf(v.Type()).fields {
			if val := v.Field(f.index); !f.omit || !val.IsZero() {
				out = append(out, part{f.name, val})
			}
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			out = append(out, part{k.String(), v.MapIndex(k)})
		}
		slices.SortFunc(out, func(a, b part) int { return strings.Compare(a.name, b.name) })
	case reflect.Slice:
		for i := range v.Len() {
			out = append(out, part{value: v.Index(i)})
		}
		return out, true
	}
	return out, false
}

// flow writes a value on one line.
func (w *yamlWriter) flow(v reflect.Value) string {
	switch x := v.Interface().(type) {
	case Tolerance:
		if x.Percent {
			return w.text(x.String())
		}
		return w.number(x.Value)
	case KeepsBack:
		switch {
		case x.All:
			return keepsAll
		case x.Starting:
			return keepsStarting
		}
	}
	switch v.Kind() {
	case reflect.String:
		return w.text(v.String())
	case reflect.Float64:
		return w.number(v.Float())
	case reflect.Int:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.Pointer:
		return w.flow(v.Elem())
	}
	pairs, listed := w.parts(v)
	items := make([]string, len(pairs))
	for i, p := range pairs {
		items[i] = w.flow(p.value)
		if !listed {
			items[i] = w.text(p.name) + ": " + items[i]
		}
	}
	if listed {
		return "[" + strings.Join(items, ", ") + "]"
	}
	return "{" + strings.Join(items, ", ") + "}"
}
