package kb

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// number writes a number without an exponent unless it is very large or small;
// readers of YAML 1.1 want a point in one with an exponent.
func (w *yamlWriter) number(f float64) string {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		w.fail("a number is not finite and cannot be written")
	}
	if a := math.Abs(f); a == 0 || a >= 1e-6 && a < 1e15 {
		return strconv.FormatFloat(f, 'f', -1, 64)
	}
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(f, 'e', -1, 64), "e")
	if !strings.Contains(mantissa, ".") {
		mantissa += ".0"
	}
	return mantissa + "e" + exponent
}

// plainText are texts that every reader of YAML takes for text: the old words
// for truth values, which YAML 1.1 knows, are quoted.
var (
	plainText = regexp.MustCompile(`^[a-zA-Z][a-zA-Z0-9]*([-_ ][a-zA-Z0-9]+)*$`)
	oldTruth  = regexp.MustCompile(`(?i)^(y|yes|n|no|on|off|true|false|null|nan|inf)$`)
)

// text writes text plain where that is safe, else in quotes. JSON's quoted form
// is one of YAML's.
func (w *yamlWriter) text(s string) string {
	if plainText.MatchString(s) && !oldTruth.MatchString(s) {
		return s
	}
	if !utf8.ValidString(s) {
		w.fail("the text %q is not UTF-8", s)
	}
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		w.fail("the text %q cannot be written: %w", s, err)
	}
	// JSON leaves DEL and the C1 controls as they are; YAML does not allow them so.
	return escapeControls(strings.TrimSuffix(b.String(), "\n"))
}

func escapeControls(s string) string {
	if !strings.ContainsFunc(s, isC1) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if isC1(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func isC1(r rune) bool { return r >= 0x7f && r <= 0x9f || r == 0xfeff || r == 0xfffe || r == 0xffff }
