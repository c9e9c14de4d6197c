package kb

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
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

// probability are the rules of a number in an outcome table.
var probability = rules{min: new(0.0), max: new(1.0)}

// complaint is what is wrong with a value and what to do about it; the zero
// complaint means that nothing is.
type complaint struct{ what, do string }

func (c complaint) none() bool { return c.what == "" }

// checkNumber tells whether a number keeps the rules.
func (r rules) checkNumber(v float64) complaint {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return complaint{"is not a finite number", "write " + r.span()}
	case r.min != nil && v < *r.min:
		return complaint{fmt.Sprintf("is %s, less than the least allowed %s", number(v), number(*r.min)), "write " + r.span()}
	case r.max != nil && v > *r.max:
		return complaint{fmt.Sprintf("is %s, more than the most allowed %s", number(v), number(*r.max)), "write " + r.span()}
	}
	return complaint{}
}

// span says which numbers are allowed.
func (r rules) span() string {
	switch {
	case r.min != nil && r.max != nil && *r.min == *r.max:
		return number(*r.min)
	case r.min != nil && r.max != nil:
		return fmt.Sprintf("a number from %s to %s", number(*r.min), number(*r.max))
	case r.min != nil:
		return fmt.Sprintf("a number of %s or more", number(*r.min))
	case r.max != nil:
		return fmt.Sprintf("a number of %s or less", number(*r.max))
	}
	return "a plain number"
}

// Patterns of texts, in the common subset of Go's and ECMA 262's syntax: the
// JSON Schema holds the same ones.
const (
	idPatternText      = `^[a-z0-9]+(-[a-z0-9]+)*$`
	notBlankText       = `[^ \t\r\n]`
	percentPatternText = `^[0-9]{1,9}(\.[0-9]{1,30})?%$`
)

var (
	idPattern      = regexp.MustCompile(idPatternText)
	notBlank       = regexp.MustCompile(notBlankText)
	percentPattern = regexp.MustCompile(percentPatternText)
)

// checkText tells whether a text keeps the rules. Text that must be there, and
// any item of a list, must not be blank.
func (r rules) checkText(s string) complaint {
	switch {
	case r.id && !idPattern.MatchString(s):
		do := "write lower-case words and digits joined by -"
		if better := slug(s); better != "" {
			do += fmt.Sprintf(", such as %q", better)
		}
		return complaint{fmt.Sprintf("is %q, which is not an id", s), do}
	case len(r.enum) > 0:
		return r.checkEnum(s)
	case r.required && !notBlank.MatchString(s):
		return complaint{"is blank", "write some text"}
	}
	return complaint{}
}

func (r rules) checkEnum(s string) complaint {
	for _, e := range r.enum {
		if s == e {
			return complaint{}
		}
	}
	if near, ok := Nearest(s, r.enum); ok {
		return complaint{fmt.Sprintf("is %q, which is not one of the words allowed", s), fmt.Sprintf("did you mean %q?", near)}
	}
	return complaint{fmt.Sprintf("is %q, which is not one of the words allowed", s), "write one of " + strings.Join(r.enum, ", ")}
}

// checkLen tells whether a list or mapping has items enough.
func (r rules) checkLen(n int) complaint {
	if n >= r.items {
		return complaint{}
	}
	if n == 0 {
		return complaint{"holds nothing", fmt.Sprintf("write at least %d", r.items)}
	}
	return complaint{fmt.Sprintf("holds %d, fewer than the %d needed", n, r.items), "add what is missing"}
}

// item are the rules for the items of a list with these rules.
func (r rules) item() rules {
	return rules{required: true, min: r.min, max: r.max, enum: r.enum}
}

// slug turns text into an id, as far as it holds letters and digits.
func slug(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(c rune) bool {
		return !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9')
	})
	return strings.Join(words, "-")
}
