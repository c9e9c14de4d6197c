package kb

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// values holds every entry to the rules of the `kb` tags. For a base from YAML
// that leaves the ids of other entries to be seen to; for one from elsewhere it
// is the first examination.
func (l *linter) values() {
	l.walk(&l.b.Settings, reflect.ValueOf(&l.b.Settings).Elem(), nil)
	base := reflect.ValueOf(l.b).Elem()
	for _, f := range infoOf(base.Type()).fields {
		list := base.Field(f.index)
		if f.typ.Kind() != reflect.Slice || !reflect.PointerTo(f.typ.Elem()).Implements(entryType) {
			continue
		}
		seen := make(map[string]entry, list.Len())
		for i := range list.Len() {
			e := list.Index(i).Addr().Interface().(entry)
			if first := seen[e.key()]; first != nil {
				l.wrong(e, valueAt("id"), fmt.Sprintf("the id is given twice, first at %s", first.source().at("id")), "rename or remove one of the two")
			} else {
				seen[e.key()] = e
			}
			l.walk(e, list.Index(i), nil)
		}
	}
	l.clashes()
}

var entryType = reflect.TypeFor[entry]()

// walk examines the fields of a struct at a path within an entry.
func (l *linter) walk(e entry, v reflect.Value, path []string) {
	for _, f := range infoOf(v.Type()).fields {
		val := v.Field(f.index)
		if val.IsZero() && !f.rules.required {
			continue
		}
		l.value(e, val, f.rules, append(path, f.name))
	}
}

func (l *linter) value(e entry, v reflect.Value, r rules, path []string) {
	switch x := v.Interface().(type) {
	case Table:
		for _, p := range x {
			l.judge(e, probability.checkNumber(p.P), append(path, p.Outcome))
		}
		l.judge(e, r.checkLen(len(x)), path)
		return
	case Rows:
		for _, row := range x {
			l.value(e, reflect.ValueOf(row.Table), rules{items: 1}, append(path, row.Cause))
		}
		return
	case Tolerance:
		l.judge(e, rules{min: new(0.0)}.checkNumber(x.Value), path)
		return
	case KeepsBack:
		if !x.All && !x.Starting {
			l.value(e, reflect.ValueOf(x.Checks), rules{items: 1, ref: "checks"}, path)
		}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		l.walk(e, v, path)
	case reflect.Pointer:
		l.value(e, v.Elem(), r, path)
	case reflect.Slice:
		l.judge(e, r.checkLen(v.Len()), path)
		item := r.item()
		item.ref = r.ref
		for i := range v.Len() {
			l.value(e, v.Index(i), item, append(path, strconv.Itoa(i)))
		}
	case reflect.Map:
		l.mapping(e, v, r, path)
	case reflect.String:
		l.text(e, v.String(), r, path)
	case reflect.Float64:
		l.judge(e, r.checkNumber(v.Float()), path)
	case reflect.Int:
		l.judge(e, r.checkNumber(float64(v.Int())), path)
	}
}

func (l *linter) mapping(e entry, v reflect.Value, r rules, path []string) {
	l.judge(e, r.checkLen(v.Len()), path)
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
	for _, key := range keys {
		at := append(path, key.String())
		if r.ref != "" && !l.has(r.ref, key.String()) {
			l.unknown(e, keyAt(at...), r.ref, key.String())
		}
		l.value(e, v.MapIndex(key), r.item(), at)
	}
}

func (l *linter) text(e entry, s string, r rules, path []string) {
	c := r.checkText(s)
	l.judge(e, c, path)
	if r.ref != "" && c.none() && !l.has(r.ref, s) {
		l.unknown(e, valueAt(path...), r.ref, s)
	}
}

// judge reports a complaint about the value at a path.
func (l *linter) judge(e entry, c complaint, path []string) {
	if !c.none() {
		l.wrong(e, valueAt(path...), strconv.Quote(strings.Join(path, "."))+" "+c.what, c.do)
	}
}

// clashes warns of a symptom and a check with one id: on the command line and
// in imports either could be meant.
func (l *linter) clashes() {
	for i := range l.b.Checks {
		c := &l.b.Checks[i]
		if s, ok := l.b.Symptom(c.ID); ok {
			l.doubt(c, valueAt("id"), fmt.Sprintf("a symptom has the same id, at %s", s.source().at("id")), "give one of them another id")
		}
	}
}

// basis asks every entry with numbers where they come from.
func (l *linter) basis() {
	each(l.b.Families, func(e *Family) { l.sources(e, e.Basis) })
	each(l.b.States, func(e *State) { l.needsBasis(e, e.Basis) })
	each(l.b.Symptoms, func(e *Symptom) { l.needsBasis(e, e.Basis) })
	each(l.b.Checks, func(e *Check) { l.needsBasis(e, e.Basis) })
	each(l.b.Causes, func(e *Cause) { l.needsBasis(e, e.Basis) })
	each(l.b.Fixes, func(e *Fix) { l.needsBasis(e, e.Basis) })
	each(l.b.Parts, func(e *Part) { l.needsBasis(e, e.Basis) })
	each(l.b.Holds, func(e *Hold) { l.needsBasis(e, e.Basis) })
}

// each calls f with a pointer to every item of a list.
func each[T any](list []T, f func(*T)) {
	for i := range list {
		f(&list[i])
	}
}

func (l *linter) needsBasis(e entry, bases Bases) {
	if len(bases) == 0 {
		l.wrong(e, valueAt(), "it has no basis", "say where its numbers come from, such as basis: {kind: estimate}")
	}
	l.sources(e, bases)
}

func (l *linter) sources(e entry, bases Bases) {
	for i, b := range bases {
		if b.Kind == "published" && !notBlank.MatchString(b.Source) {
			l.wrong(e, valueAt("basis", strconv.Itoa(i)), "a published basis names no source", `add source: "..." with the work and page, or write kind: estimate`)
		}
	}
}
