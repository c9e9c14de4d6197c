package kb

import (
	"fmt"
	"math"
	"regexp"
	"strings"
)

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
	return rules{required: true, id: r.id, min: r.min, max: r.max, enum: r.enum}
}

// slug turns text into an id, as far as it holds letters and digits.
func slug(s string) string {
	words := strings.FieldsFunc(strings.ToLower(s), func(c rune) bool {
		return !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9')
	})
	return strings.Join(words, "-")
}
