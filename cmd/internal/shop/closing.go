package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sootsayer/kb"
)

// ClosingCauses lists what a job of a family can be closed with: the unlisted
// cause and those of the family, in base order.
func ClosingCauses(b *kb.Base, family string) []string {
	out := []string{kb.Unlisted}
	for i := range b.Causes {
		if hasFamily(&b.Causes[i], family) {
			out = append(out, b.Causes[i].ID)
		}
	}
	return out
}

func hasFamily(c *kb.Cause, family string) bool {
	_, in := c.Share[family]
	return in
}

// FixesFor lists the fixes that cure causes, each once and in the causes' order.
func FixesFor(b *kb.Base, causes []string) []string {
	var out []string
	for _, id := range causes {
		if c, ok := b.Cause(id); ok && !slices.Contains(out, c.Fix) {
			out = append(out, c.Fix)
		}
	}
	return out
}

// OtherFixes returns the fixes that were done in the end as a closing states
// them: nil when they are those of its causes, which need not be said.
func OtherFixes(b *kb.Base, causes, done []string) []string {
	mine, others := slices.Sorted(slices.Values(FixesFor(b, causes))), slices.Sorted(slices.Values(done))
	if len(done) == 0 || slices.Equal(mine, others) {
		return nil
	}
	return done
}

// ParsePieces reads pieces used: PART=N, or PART for one piece.
func ParsePieces(b *kb.Base, text string) (part string, qty float64, err error) {
	part, number, given := strings.Cut(text, "=")
	part, number = b.Today("parts", strings.TrimSpace(part)), strings.TrimSpace(number)
	if _, ok := b.Part(part); !ok {
		return part, 0, kb.UnknownID("part", part, b.IDs("parts"))
	}
	if !given {
		number = "1"
	}
	qty, err = strconv.ParseFloat(number, 64)
	if err != nil || !(qty > 0 && qty <= maxPieces) {
		return part, 0, fmt.Errorf("%q is not a number of pieces of %s; write %s=1", number, part, part)
	}
	return part, qty, nil
}
