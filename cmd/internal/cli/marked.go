package cli

import (
	"strings"
	"unicode/utf8"

	"sootsayer/index"
)

// The words found in a text are marked by stars, or by bold and underlined
// letters on a terminal with colours. While a text is wrapped two characters
// of Unicode's private use area stand for the marks, so that each mark counts
// as one character and a star of the text itself stays a star.
const (
	markOpen  = "\ue000"
	markClose = "\ue001"
)

// underlined is the style of marked words: to be seen without colours too.
const underlined style = "1;4"

// mark puts marks around the spans of a text, around each word of a longer
// span by itself, so that none runs over the end of a line.
func mark(text string, spans [][2]int) string {
	var b strings.Builder
	done := 0
	for _, s := range spans {
		b.WriteString(text[done:s[0]])
		b.WriteString(markOpen)
		b.WriteString(strings.ReplaceAll(text[s[0]:s[1]], " ", markClose+" "+markOpen))
		b.WriteString(markClose)
		done = s[1]
	}
	b.WriteString(text[done:])
	return b.String()
}

// marked writes marked text wrapped, as para does.
func (p *printer) marked(first, text string) {
	shown := &printer{w: &markWriter{p: p}, width: p.width, colour: p.colour}
	shown.para(first, text)
}

// markWriter turns the marks of what is written into what a person sees.
type markWriter struct{ p *printer }

// Write writes text to the printer's stream.
func (m *markWriter) Write(text []byte) (int, error) {
	open, shut := "*", "*"
	if m.p.colour {
		open, shut = "\x1b["+string(underlined)+"m", "\x1b[0m"
	}
	_, err := strings.NewReplacer(markOpen, open, markClose, shut).WriteString(m.p.w, string(text))
	return len(text), err
}

// excerptLines is how many lines an excerpt takes at most.
const excerptLines = 2

// excerpt keeps of a marked text what stands around the first marked word, up
// to a number of characters.
func excerpt(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	words := strings.Fields(text)
	from := 0
	for i, w := range words {
		if strings.Contains(w, markOpen) {
			from = i
			break
		}
	}
	to, room := from, most-4 // the dots on both sides
	take := func(word string) bool {
		n := utf8.RuneCountInString(word) + 1
		if n > room {
			return false
		}
		room -= n
		return true
	}
	for grown := true; grown; {
		grown = false
		if to < len(words) && take(words[to]) {
			to, grown = to+1, true
		}
		if from > 0 && take(words[from-1]) {
			from, grown = from-1, true
		}
	}
	out := strings.Join(words[from:to], " ")
	if from > 0 {
		out = "… " + out
	}
	if to < len(words) {
		out += " …"
	}
	return out
}

// fieldWords say what a text of an entry is.
var fieldWords = map[string]string{
	"phrases":   "said: ",
	"learned":   "said here before: ",
	"ask":       "ask: ",
	"how":       "one step: ",
	"outcome":   "a result: ",
	"component": "part of the equipment: ",
	"mode":      "how it fails: ",
	"note":      "note: ",
	"part":      "takes: ",
	"spec":      "",
	"says":      "ends the hold: ",
	"unit":      "reads in ",
	"complaint": "said: ",
	"reason":    "came back: ",
	"cause":     "cause: ",
	"on":        "on: ",
}

// hit writes one entry that was found and the text that fits best.
func (p *printer) hit(h *index.Hit) {
	const column = 9
	name, label, text := h.Name, "", ""
	for _, f := range h.Fragments {
		switch {
		case f.Field == "name":
			name = mark(f.Text, f.Spans)
		case text == "":
			label, text = fieldWords[f.Field], mark(f.Text, f.Spans)
		}
	}
	p.marked(pad(h.Kind, column), name+" ("+h.ID+")")
	if text != "" {
		p.marked(strings.Repeat(" ", column), label+excerpt(text, excerptLines*(p.width-column)-column-len(label)))
	}
}
