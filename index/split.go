package index

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// split turns one word as written into its tokens.
func split(word string, at int) []token {
	whole := token{start: at, end: at + len(word), word: even(word)}
	if whole.word == "" {
		return nil
	}
	digits, letters := false, false
	for _, r := range whole.word {
		digits = digits || unicode.IsDigit(r)
		letters = letters || unicode.IsLetter(r)
	}
	switch {
	case digits && !letters && !isSignWord(whole.word):
		whole.kind, whole.word = numberToken, strings.ReplaceAll(whole.word, ",", "")
		return []token{whole}
	case digits:
		return splitNumber(word, whole)
	}
	return splitCompound(word, whole)
}

func isSignWord(w string) bool {
	r, _ := utf8.DecodeRuneInString(w)
	return isSign(r)
}

// even returns a word in lower case without apostrophes and possessive s.
func even(word string) string {
	w := strings.ToLower(word)
	if strings.IndexFunc(w, isMark) < 0 {
		return w
	}
	for _, a := range []string{"'", "’", "‘", "`", "´"} {
		if base, ok := strings.CutSuffix(w, a+"s"); ok {
			w = base
		}
		w = strings.ReplaceAll(w, a, "")
	}
	return strings.ReplaceAll(w, "‑", "-")
}

// splitNumber tells a number with its unit (12v, 30-second, 120VAC) from a code.
func splitNumber(word string, whole token) []token {
	cut := strings.IndexFunc(whole.word, unicode.IsLetter)
	number := strings.TrimRight(whole.word[:cut], "-")
	unit := whole.word[cut:]
	if number == "" || unitWords[unit] == 0 || len(whole.word) != len(word) {
		whole.kind = codeToken
		return []token{whole}
	}
	return []token{
		{start: whole.start, end: whole.start + len(number), word: number, kind: numberToken},
		{start: whole.start + cut, end: whole.end, word: unit, kind: unitToken},
	}
}

// splitCompound gives the parts of words joined by - / or _; single letters
// keep the compound whole.
func splitCompound(word string, whole token) []token {
	if whole.word == "w/o" {
		whole.word = "without"
		return []token{whole}
	}
	var parts []token
	for start := 0; start < len(word); {
		n := strings.IndexFunc(word[start:], isSeparator)
		if n < 0 {
			n = len(word) - start
		}
		p := even(word[start : start+n])
		if utf8.RuneCountInString(p) < 2 && n < len(word) {
			whole.kind = codeToken
			return []token{whole}
		}
		parts = append(parts, token{start: whole.start + start, end: whole.start + start + n, word: p})
		_, size := utf8.DecodeRuneInString(word[start+n:])
		start += n + size
	}
	if len(parts) > 1 {
		parts[0].joined, parts[0].joinedEnd = whole.word, whole.end
	}
	return parts
}

func isSeparator(r rune) bool { return r == '-' || r == '/' || r == '_' || r == '‑' }

// markUnit turns the word after a number into a unit where it is one, and a
// number written out ("thirty seconds") into a number.
func markUnit(tokens []token, i int) {
	t := &tokens[i]
	if t.kind == wordToken && numberWords[t.word] {
		t.kind = numberToken
	}
	if i == 0 || t.kind != wordToken || t.breaks || unitWords[t.word] == 0 {
		return
	}
	prev := tokens[i-1]
	if prev.kind == numberToken || prev.kind == unitToken && isDegree(prev.word) {
		t.kind = unitToken
	}
}

// markNumero reads the "no." before a number, as in "no. 2 oil", as number.
func markNumero(tokens []token, i int, text string) {
	t := &tokens[i]
	if t.word == "no" && i+1 < len(tokens) && tokens[i+1].kind == numberToken && strings.HasPrefix(text[t.end:], ".") {
		t.word = "number"
	}
}
