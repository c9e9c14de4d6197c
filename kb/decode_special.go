package kb

import (
	"reflect"
	"strconv"
)

// specials read the types whose written form is not that of their Go type.
// The JSON Schema has a counterpart for each in schema.go.
// They are set up in init because reading them leads back to this map.
var specials map[reflect.Type]func(d *decoder, n *node, v reflect.Value, r rules)

func init() {
	specials = map[reflect.Type]func(d *decoder, n *node, v reflect.Value, r rules){
		reflect.TypeFor[Table]():     (*decoder).table,
		reflect.TypeFor[Rows]():      (*decoder).rows,
		reflect.TypeFor[Bases]():     (*decoder).bases,
		reflect.TypeFor[Tolerance](): (*decoder).tolerance,
		reflect.TypeFor[KeepsBack](): (*decoder).keepsBack,
		reflect.TypeFor[Texts]():     (*decoder).texts,
	}
}

// table reads a mapping of outcomes to probabilities, in the order written.
func (d *decoder) table(n *node, v reflect.Value, _ rules) {
	if n.kind != mapNode {
		d.complain(n, wrongKind(n, "a mapping of outcomes to probabilities", `write it like {"no": 0.9, "yes": 0.1}`))
		return
	}
	if len(n.items) == 0 {
		d.complain(n, complaint{"holds no outcome", `write it like {"no": 0.9, "yes": 0.1}`})
		return
	}
	out := make(Table, 0, len(n.items))
	d.pairs(n, func(outcome string, item *node) {
		if item.kind == nullNode {
			d.complain(item, complaint{"is empty", "write " + probability.span()})
			return
		}
		if p, ok := d.number(item, probability); ok {
			out = append(out, Prob{Outcome: outcome, P: p})
		}
	})
	v.Set(reflect.ValueOf(out))
}

// rows reads a mapping of causes to tables, in the order written.
func (d *decoder) rows(n *node, v reflect.Value, _ rules) {
	if n.kind != mapNode {
		d.complain(n, wrongKind(n, "a mapping of causes to tables", `write it like {some-cause: {"yes": 0.7}}`))
		return
	}
	if len(n.items) == 0 {
		return
	}
	out := make(Rows, 0, len(n.items))
	d.pairs(n, func(cause string, item *node) {
		row := Row{Cause: cause}
		d.value(item, reflect.ValueOf(&row.Table).Elem(), rules{})
		out = append(out, row)
	})
	v.Set(reflect.ValueOf(out))
}

// bases reads one basis or a list of them.
func (d *decoder) bases(n *node, v reflect.Value, _ rules) {
	switch n.kind {
	case mapNode:
		out := make(Bases, 1)
		d.structure(n, reflect.ValueOf(&out[0]).Elem())
		v.Set(reflect.ValueOf(out))
	case listNode:
		if len(n.items) == 0 {
			d.complain(n, complaint{"holds nothing", "write it like {kind: estimate}"})
			return
		}
		out := make(Bases, len(n.items))
		for i, item := range n.items {
			d.within(strconv.Itoa(i+1), func() { d.value(item, reflect.ValueOf(&out[i]).Elem(), rules{}) })
		}
		v.Set(reflect.ValueOf(out))
	default:
		d.complain(n, wrongKind(n, "a mapping", "write it like {kind: estimate}"))
	}
}

// tolerance reads a number or a percentage.
func (d *decoder) tolerance(n *node, v reflect.Value, _ rules) {
	if n.kind != textNode {
		if f, ok := d.number(n, rules{min: new(0.0)}); ok {
			v.Set(reflect.ValueOf(Tolerance{Value: f}))
		}
		return
	}
	t, err := ParseTolerance(n.text)
	if err != nil || !percentPattern.MatchString(n.text) {
		d.complain(n, complaint{"is " + strconv.Quote(n.text) + ", not a number or a percentage", "write a number in the reading's unit, or a percentage such as 2%"})
		return
	}
	v.Set(reflect.ValueOf(t))
}

// The words of KeepsBack.
const (
	keepsAll      = "all"
	keepsStarting = "starting"
)

// keepsBack reads "starting", "all" or a list of checks.
func (d *decoder) keepsBack(n *node, v reflect.Value, _ rules) {
	var out KeepsBack
	switch {
	case n.kind == textNode && n.text == keepsAll:
		out.All = true
	case n.kind == textNode && n.text == keepsStarting:
		out.Starting = true
	case n.kind == listNode:
		d.list(n, reflect.ValueOf(&out.Checks).Elem(), rules{items: 1})
	case n.kind == textNode:
		d.complain(n, complaint{"is " + strconv.Quote(n.text), "write starting, all, or a list of checks such as [" + n.text + "]"})
	default:
		d.complain(n, wrongKind(n, "starting, all or a list of checks", "write one of these"))
	}
	v.Set(reflect.ValueOf(out))
}
