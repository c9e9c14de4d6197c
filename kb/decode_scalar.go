package kb

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
)

// scalar reads text, a number or a truth value.
func (d *decoder) scalar(n *node, v reflect.Value, r rules) {
	switch v.Kind() {
	case reflect.String:
		d.text(n, v, r)
	case reflect.Float64:
		if f, ok := d.number(n, r); ok {
			v.SetFloat(f)
		}
	case reflect.Int:
		d.wholeNumber(n, v, r)
	case reflect.Bool:
		if n.kind != boolNode {
			d.complain(n, wrongKind(n, "true or false", "write true or false without quotes"))
			return
		}
		v.SetBool(n.text[0] == 't' || n.text[0] == 'T')
	default:
		panic("kb: the format holds no " + v.Type().String())
	}
}

func (d *decoder) text(n *node, v reflect.Value, r rules) {
	if n.kind != textNode {
		d.complain(n, wrongKind(n, "text", quoteHint(n)))
		return
	}
	if c := r.checkText(n.text); !c.none() {
		d.complain(n, c)
		if r.id {
			return // an id that is none would only be reported again
		}
	}
	v.SetString(n.text)
}

// number reads a number that keeps the rules.
func (d *decoder) number(n *node, r rules) (float64, bool) {
	if n.kind != numberNode {
		do := "write " + r.span()
		if n.kind == textNode && coreFloat.MatchString(n.text) {
			do = "take the quotes away: " + n.text
		}
		d.complain(n, wrongKind(n, "a number", do))
		return 0, false
	}
	if c := r.checkNumber(n.number); !c.none() {
		d.complain(n, c)
		return 0, false
	}
	return n.number, true
}

// maxWhole is the greatest whole number that fits an int on every platform.
const maxWhole = 1<<31 - 1

func (d *decoder) wholeNumber(n *node, v reflect.Value, r rules) {
	f, ok := d.number(n, r)
	if !ok {
		return
	}
	if f != math.Trunc(f) || math.Abs(f) > maxWhole {
		d.complain(n, complaint{"is " + number(f) + ", not a whole number of a likely size", "write a whole number"})
		return
	}
	v.SetInt(int64(f))
}

// wrongKind is the complaint about a value of the wrong type.
func wrongKind(n *node, want, do string) complaint {
	return complaint{"is " + n.kindName() + ", not " + want, do}
}

// quoteHint says how to make text of a value that YAML reads as something else.
func quoteHint(n *node) string {
	switch n.kind {
	case boolNode, numberNode:
		return "put it in quotes: " + strconv.Quote(n.text)
	case nullNode:
		if n.text != "" {
			return "put it in quotes: " + strconv.Quote(n.text)
		}
	}
	return "write text"
}

// missingHint says what a required field is for.
func missingHint(f fieldInfo) string {
	hint := fmt.Sprintf("add %s: ...", f.name)
	if f.doc != "" {
		hint += " (" + f.doc + ")"
	}
	return hint
}

// exampleFields are the fields that a struct must have.
func exampleFields(t reflect.Type) []string {
	info := infoOf(t)
	var out []string
	for _, f := range info.fields {
		if f.rules.required {
			out = append(out, f.name)
		}
	}
	if len(out) == 0 {
		out = info.names()[:1]
	}
	return out
}

// nounOf names a struct of the format in messages.
func nounOf(t reflect.Type) string {
	if noun, ok := nouns[t]; ok {
		return noun
	}
	if f, ok := reflect.Zero(t).Interface().(interface{ Noun() string }); ok { // of another format, see ReadYAML
		return f.Noun()
	}
	return "this"
}

var nouns = map[reflect.Type]string{
	reflect.TypeFor[Base]():      "a base's file",
	reflect.TypeFor[Settings]():  "the settings",
	reflect.TypeFor[Family]():    "a family",
	reflect.TypeFor[Component](): "a component",
	reflect.TypeFor[State]():     "a state",
	reflect.TypeFor[Symptom]():   "a symptom",
	reflect.TypeFor[Check]():     "a check",
	reflect.TypeFor[Reading]():   "a reading",
	reflect.TypeFor[Outcome]():   "an outcome",
	reflect.TypeFor[Cause]():     "a cause",
	reflect.TypeFor[Fix]():       "a fix",
	reflect.TypeFor[PartUse]():   "a part of a fix",
	reflect.TypeFor[Part]():      "a part",
	reflect.TypeFor[Hold]():      "a hold",
	reflect.TypeFor[Trigger]():   `a hold's "when"`,
	reflect.TypeFor[Clearance](): `a hold's "until"`,
	reflect.TypeFor[Basis]():     "a basis",
}
