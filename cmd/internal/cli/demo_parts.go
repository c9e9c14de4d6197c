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

// whole is more items than any part has.
const whole = 1000

// of shortens an answer; a last line says how much is left out.
func (x demoParts) of(answer string) []string {
	lines := strings.Split(strings.TrimRight(answer, "\n"), "\n")
	if x.all {
		return lines
	}
	var out []string
	hidden, cautions := 0, 0
	left, indent := -1, 0 // items of the part still to show, -1 for none of it; indent of its items
	for _, l := range lines {
		text := strings.TrimLeft(l, " ")
		switch in := len(l) - len(text); {
		case text == "":
			continue
		case in == 0:
			left, indent = x.itemsOf(l), 0
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
