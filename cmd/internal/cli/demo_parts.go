package cli

import (
	"fmt"
	"strings"
)

// demoParts say which parts of an answer are shown. A part is a line that is
// not indented, its heading, with the items below it. An item is a line with
// those that are indented further and do not begin with a number, as the rows of
// a table do.
type demoParts struct {
	all   bool
	items map[string]int // how many items of a part, by how its heading begins
}

// cautionBegins is how a caution begins in an answer.
const cautionBegins = "CAUTION:"

// How much of a part is shown, where that is not a number of items.
const (
	whole        = 1000 // more items than any part has
	wholeIfShort = 999  // all of a part of at most shortPart lines, else 2 items
	shortPart    = 28
)

// of shortens an answer; a last line says how much is left out.
func (x demoParts) of(answer string) []string {
	lines := strings.Split(strings.TrimRight(answer, "\n"), "\n")
	if x.all {
		return lines
	}
	var out []string
	hidden, cautions := 0, 0
	left, indent := -1, 0 // items of the part still to show, -1 for none of it; indent of its items
	for i, l := range lines {
		text := strings.TrimLeft(l, " ")
		switch in := len(l) - len(text); {
		case text == "":
			continue
		case in == 0:
			left, indent = x.itemsOf(l), 0
			if left == wholeIfShort && partLines(lines[i:]) > shortPart {
				left = 2
			}
		case left >= 0 && (indent == 0 || in <= indent || strings.ContainsAny(text[:1], "0123456789+-<")):
			left, indent = left-1, in
		}
		if left >= 0 {
			out = append(out, l)
			continue
		}
		if hidden++; strings.HasPrefix(text, cautionBegins) {
			cautions++
		}
	}
	switch {
	case cautions > 0:
		out = append(out, fmt.Sprintf("  [... %s, with %s]", counted(hidden, "line"), counted(cautions, "caution")))
	case hidden > 0:
		out = append(out, fmt.Sprintf("  [... %s]", counted(hidden, "line")))
	}
	return out
}

// itemsOf is how many items of a part are shown, -1 when it is not shown.
func (x demoParts) itemsOf(heading string) int {
	for begins, n := range x.items {
		if strings.HasPrefix(heading, begins) {
			return n
		}
	}
	return -1
}

// partLines is the number of lines of the part that begins here.
func partLines(lines []string) int {
	for i, l := range lines[1:] {
		if l == "" || !strings.HasPrefix(l, " ") {
			return i + 1
		}
	}
	return len(lines)
}

// quoted puts the words in quotes that a shell would take apart.
func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		if out[i] = w; strings.ContainsAny(w, " ;") {
			out[i] = `"` + w + `"`
		}
	}
	return out
}

// typed writes a command as a person types it, on more lines where it is long:
// a flag and its value stay together.
func typed(words []string, width int) []string {
	lines := []string{"$"}
	for i, w := range words {
		last := &lines[len(lines)-1]
		need := len(*last) + 1 + len(w) + len(" \\")
		if strings.HasPrefix(w, "--") && i+1 < len(words) {
			need += 1 + len(words[i+1])
		}
		if strings.HasPrefix(w, "--") && need > width {
			*last += " \\"
			lines = append(lines, "     "+w)
			continue
		}
		*last += " " + w
	}
	return lines
}
