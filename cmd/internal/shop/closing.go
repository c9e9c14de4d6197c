package shop

import (
	"fmt"
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

// ParsePieces reads pieces used: PART=N, or PART for one piece.
func ParsePieces(b *kb.Base, text string) (part string, qty float64, err error) {
	part, number, given := strings.Cut(text, "=")
	part, number = strings.TrimSpace(part), strings.TrimSpace(number)
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
