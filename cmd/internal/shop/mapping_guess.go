package shop

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"sootsayer/kb"
)

// named is what an unknown word was to be, and the word.
func (w *unknownWord) named() (what, text string) {
	if w.of == "" {
		return w.what, w.text
	}
	_, outcome, _ := strings.Cut(w.text, "=")
	return w.what, strings.TrimSpace(outcome)
}

// guesser finds out which id may be meant by a word of the shop's. It remembers
// its answers, since a file says the same words over and over.
type guesser struct {
	base  *kb.Base
	known map[string]string
}

func newGuesser(b *kb.Base) *guesser { return &guesser{base: b, known: make(map[string]string)} }

// maxGuesses bounds what is remembered.
const maxGuesses = 10000

// nearest returns what a mapping of the word would name, "" when nothing is near.
func (g *guesser) nearest(col int, w *unknownWord) string {
	key := columnNames[col] + "\x00" + w.what + "\x00" + w.text
	if near, ok := g.known[key]; ok {
		return near
	}
	_, text := w.named()
	near := g.byLetters(text, w.have)
	if near == "" {
		near = g.byWords(text, w.have, idList[col])
	}
	if near != "" && w.of != "" {
		near = w.of + "=" + near
	}
	if len(g.known) < maxGuesses {
		g.known[key] = near
	}
	return near
}

// byLetters finds an id that is spelt much like the word.
func (g *guesser) byLetters(text string, have []string) string {
	near, _ := kb.Nearest(strings.Join(plainWords(text), "-"), have)
	return near
}

// byWords finds the id that shares most words with the text, in itself or in its
// name. It takes one of equals, that with the fewest words, where they share more
// than half of the text's; half is enough for one that stands alone.
func (g *guesser) byWords(text string, have []string, list string) string {
	words := plainWords(text)
	best, most, length, equals := "", 0, 0, 0
	for _, id := range have {
		mine := append(plainWords(id), plainWords(g.name(list, id))...)
		slices.Sort(mine)
		mine = slices.Compact(mine)
		shared := 0
		for _, w := range words {
			if slices.Contains(mine, w) {
				shared++
			}
		}
		if shared > most {
			equals = 0
		}
		if shared >= most && shared > 0 {
			equals++
		}
		if shared > most || shared == most && len(mine) < length {
			best, most, length = id, shared, len(mine)
		}
	}
	if 2*most > len(words) || 2*most == len(words) && equals == 1 {
		return best
	}
	return ""
}

// name is what the base calls an entry.
func (g *guesser) name(list, id string) string {
	switch list {
	case "families":
		if e, ok := g.base.Family(id); ok {
			return e.Name
		}
	case "symptoms":
		if e, ok := g.base.Symptom(id); ok {
			return e.Name
		}
	case "checks":
		if e, ok := g.base.Check(id); ok {
			return e.Name
		}
	case "causes":
		if e, ok := g.base.Cause(id); ok {
			return e.Name
		}
	case "fixes":
		if e, ok := g.base.Fix(id); ok {
			return e.Name
		}
	case "parts":
		if e, ok := g.base.Part(id); ok {
			return e.Name
		}
	}
	return ""
}

// plainWords are the words and numbers of a text in small letters.
func plainWords(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// plainYAML are texts that YAML reads as text without quotes.
var plainYAML = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_/.|=@+-]*( [A-Za-z0-9_/.|=@+-]+)*$`)

// yamlText writes a text as YAML has it, in quotes where it would be read as
// something else.
func yamlText(text string) string {
	switch strings.ToLower(text) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n":
	default:
		if plainYAML.MatchString(text) {
			return text
		}
	}
	return strconv.Quote(text)
}
