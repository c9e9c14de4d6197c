package kb

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// rules are what a `kb` tag asks of a field. They are read by the loader, by
// lint (for bases that did not come from YAML) and by the JSON Schema, so that
// the types stay the one description of the format.
type rules struct {
	required bool
	id       bool
	min, max *float64 // of a number, of each number in a mapping
	enum     []string
	items    int    // least length of a list or mapping
	ref      string // the list whose ids the text, the list's items or the mapping's keys are
}

// fieldInfo is one field of a struct of the format.
type fieldInfo struct {
	name  string
	omit  bool // left out of written forms when zero
	index int
	doc   string
	typ   reflect.Type
	rules rules
}

// structInfo is a struct of the format: its fields in the order declared.
type structInfo struct {
	fields []fieldInfo
	byName map[string]int
}

func (s *structInfo) names() []string {
	out := make([]string, len(s.fields))
	for i, f := range s.fields {
		out[i] = f.name
	}
	return out
}

var structInfos sync.Map // reflect.Type -> *structInfo

// infoOf reads the tags of a struct type, once.
func infoOf(t reflect.Type) *structInfo {
	if got, ok := structInfos.Load(t); ok {
		return got.(*structInfo)
	}
	info := &structInfo{byName: map[string]int{}}
	for i := range t.NumField() {
		f := t.Field(i)
		if !f.IsExported() {
			continue
		}
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		r, err := parseRules(f.Tag.Get("kb"))
		if err != nil || name == "" {
			panic(fmt.Sprintf("kb: bad tags on %s.%s: %v", t, f.Name, err))
		}
		if (f.Type.Kind() == reflect.Slice || f.Type.Kind() == reflect.Map) && r.required && r.items == 0 {
			r.items = 1
		}
		info.byName[name] = len(info.fields)
		info.fields = append(info.fields, fieldInfo{name: name, omit: options != "", index: i, doc: f.Tag.Get("doc"), typ: f.Type, rules: r})
	}
	got, _ := structInfos.LoadOrStore(t, info)
	return got.(*structInfo)
}

func parseRules(tag string) (rules, error) {
	var r rules
	if tag == "" {
		return r, nil
	}
	for _, part := range strings.Split(tag, ",") {
		key, val, _ := strings.Cut(part, "=")
		var err error
		switch key {
		case "required":
			r.required = true
		case "id":
			r.id = true
		case "min":
			r.min, err = parseBound(val)
		case "max":
			r.max, err = parseBound(val)
		case "enum":
			r.enum = strings.Split(val, "|")
		case "items":
			r.items, err = strconv.Atoi(val)
		case "ref":
			r.ref = val
		default:
			err = fmt.Errorf("unknown rule %q", key)
		}
		if err != nil {
			return r, err
		}
	}
	return r, nil
}

func parseBound(s string) (*float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	return &v, err
}
