package index

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Texts longer than this are cut: no complaint or phrase is that long, and an
// answer has to come in milliseconds whatever was pasted.
const (
	maxTextBytes = 4 << 10
	maxTokens    = 400
)

// tokenKind says what a token is.
type tokenKind uint8

const (
	wordToken   tokenKind = iota // a word
	codeToken                    // letters and digits kept whole: 5w-30, t-t
	numberToken                  // digits only, perhaps with . , / or - inside
	unitToken                    // what a number counts: ohms, v, sec
)

// token is one word of a text.
type token struct {
	start, end int // bytes of the text it was read from
	word       string
	kind       tokenKind
	joined     string // on the first part of a compound: the compound, e.g. no-start
	joinedEnd  int    // where the compound ends
	breaks     bool   // punctuation that ends a clause stands before it
	negated    bool   // set by the analyzer: a "no" speaks about it
}

// scan splits a text into tokens: runs of letters and digits, which a single
// - . / or ' between two of them joins. What holds digits stays whole as a code
// (5W-30), as do single letters (T-T); words joined by - or / give their parts,
// the first of which remembers the compound. Case and apostrophes are evened
// out: won't becomes wont, heater's becomes heater.
func scan(text string) []token {
	text = clip(text)
	out := make([]token, 0, len(text)/5+1)
	breaks := false
	for i := 0; i < len(text) && len(out) < maxTokens; {
		r, size := utf8.DecodeRuneInString(text[i:])
		if !isWordRune(r) {
			breaks = breaks || isBreak(text, i, r)
			i += size
			continue
		}
		end := wordEnd(text, i)
		parts := split(text[i:end], i)
		if len(parts) > 0 {
			parts[0].breaks = breaks
			breaks = false
		}
		out = append(out, parts...)
		i = end
	}
	for i := range out {
		markNumero(out, i, text)
		markUnit(out, i)
	}
	return out
}

// clip cuts a text at maxTextBytes, between two runes.
func clip(text string) string {
	if len(text) <= maxTextBytes {
		return text
	}
	cut := maxTextBytes
	for cut > 0 && !utf8.RuneStart(text[cut]) {
		cut--
	}
	return text[:cut]
}

func isWordRune(r rune) bool {
	return r == '%' || r == '°' || r == '&' || r == '+' || unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r)
}

func isDegree(w string) bool { return w == "°" || w == "deg" || w == "degree" || w == "degrees" }

// isBreak tells whether the rune at i ends a clause. A full stop after "no" as
// in "no. 2 oil" does not, nor does a dash inside a word.
func isBreak(text string, i int, r rune) bool {
	switch r {
	case ',', ';', ':', '!', '?', '(', ')', '\n', '—', '–', '/', '|':
		return true
	case '-':
		return i > 0 && text[i-1] == ' '
	case '.':
		rest := strings.TrimLeft(text[i+1:], " ")
		return !(i >= 2 && strings.EqualFold(text[i-2:i], "no") && rest != "" && rest[0] >= '0' && rest[0] <= '9')
	}
	return false
}

// wordEnd returns the end of the word that begins at i.
func wordEnd(text string, i int) int {
	r, size := utf8.DecodeRuneInString(text[i:])
	if isSign(r) {
		return i + size
	}
	for i < len(text) {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case isSign(r):
			return i
		case isWordRune(r):
			i += size
		case joins(text, i, r, size):
			i += size
		default:
			return i
		}
	}
	return i
}

// isSign tells the signs that are words of their own.
func isSign(r rune) bool { return r == '%' || r == '°' || r == '&' || r == '+' }

// joins tells whether the rune at i joins what stands before and after it into
// one word: - / _ and apostrophes between letters or digits, . and , only
// between digits.
func joins(text string, i int, r rune, size int) bool {
	next, _ := utf8.DecodeRuneInString(text[i+size:])
	if !isWordRune(next) || isSign(next) {
		return false
	}
	if r == '.' || r == ',' {
		before, _ := utf8.DecodeLastRuneInString(text[:i])
		return unicode.IsDigit(before) && unicode.IsDigit(next)
	}
	return isSeparator(r) || isApostrophe(r)
}

// isMark tells what even takes out of a word.
func isMark(r rune) bool { return isApostrophe(r) || r == '‑' }

func isApostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' || r == '`' || r == '´' }
