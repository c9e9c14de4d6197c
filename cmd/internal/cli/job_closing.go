package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// closingFlags are what is told of how a job ended.
type closingFlags struct {
	causes     []string
	oneOf      bool
	confidence float64
	fixes      []string
	used       []string
	from       string
	minutes    float64
	fixMinutes float64
	note       string
	notice     func(string)
}

// none stands for no parts in --used.
const none = "none"

func (o *closingFlags) define(a *app, cmd *cobra.Command) {
	o.notice = a.notice
	f := cmd.Flags()
	f.StringArrayVar(&o.causes, "cause", nil, "what it was: a cause, or unlisted")
	f.BoolVar(&o.oneOf, "one-of", false, "it was one of the causes named, and nobody knows which")
	f.Float64Var(&o.confidence, "confidence", 1, "how sure you are of that, above 0 and up to 1")
	f.StringArrayVar(&o.fixes, "fix", nil, "what was done in the end, where that is not the causes' own fix")
	f.StringArrayVar(&o.used, "used", nil, "a part and how many: PART=1; or none")
	f.StringVar(&o.from, "from", "", "the place the parts came from, such as truck-1 (default shelf)")
	f.Float64Var(&o.minutes, "minutes", 0, "minutes of the whole call")
	f.Float64Var(&o.fixMinutes, "fix-minutes", 0, "of the minutes of the call, those of the fix with its proof")
	f.StringVar(&o.note, "note", "", "a note, such as what an unlisted cause was")
	a.complete(cmd, map[string]completion{"cause": completeCauses, "fix": completeFixes, "used": completeUsed, "from": completePlaces})
}

func completeUsed(s *shop.Shop, family, typed string) []string {
	return append(completeParts(s, family, typed), none)
}

// closing changes a closing of a job of a family by what was told.
func (o *closingFlags) closing(c kb.Closing, told func(flag string) bool, s *shop.Shop, family string) (kb.Closing, error) {
	b := s.Base()
	if told("cause") {
		c.Causes, c.OneOf, c.Confidence = o.causes, o.oneOf, o.confidence
	}
	if told("one-of") {
		c.OneOf = o.oneOf
	}
	if told("confidence") {
		c.Confidence = o.confidence
	}
	if told("minutes") {
		c.Minutes = o.minutes
	}
	if told("fix-minutes") {
		c.FixMinutes = o.fixMinutes
	}
	if told("note") {
		c.Note = o.note
	}
	if err := o.checkCauses(&c, told, b, family); err != nil {
		return c, err
	}
	if err := o.checkNumbers(&c); err != nil {
		return c, err
	}
	if told("fix") {
		for _, id := range o.fixes {
			if _, ok := b.Fix(id); !ok {
				return c, kb.UnknownID("fix", id, b.IDs("fixes"))
			}
		}
		c.Fixes = slices.Clone(o.fixes)
	}
	c.Fixes = shop.OtherFixes(b, c.Causes, c.Fixes)
	return c, o.taken(&c, told, s)
}

func (o *closingFlags) checkCauses(c *kb.Closing, told func(string) bool, b *kb.Base, family string) error {
	have := shop.ClosingCauses(b, family)
	for i, id := range c.Causes {
		if told("cause") && !slices.Contains(have, id) {
			return kb.UnknownID("cause of "+family, id, have)
		}
		if slices.Contains(c.Causes[:i], id) {
			return usagef("cause %s is named twice", id)
		}
	}
	if c.OneOf && len(c.Causes) < 2 {
		return usagef("--one-of with one cause: name all that it may have been, each with --cause; when you are not sure of a single one, say so with --confidence")
	}
	return nil
}

func (o *closingFlags) checkNumbers(c *kb.Closing) error {
	switch {
	case !(c.Confidence > 0 && c.Confidence <= 1):
		return usagef("--confidence %g: give a number above 0 and up to 1", c.Confidence)
	case !(c.Minutes >= 0):
		return usagef("--minutes %g: minutes cannot be negative", c.Minutes)
	case !(c.FixMinutes >= 0):
		return usagef("--fix-minutes %g: minutes cannot be negative", c.FixMinutes)
	case c.Minutes > 0 && c.FixMinutes > c.Minutes:
		return usagef("--fix-minutes %g: that is more than the %g minutes of the whole call", c.FixMinutes, c.Minutes)
	}
	return nil
}

// closingWords says how a job ended, without when and by whom.
func closingWords(b *kb.Base, c *kb.Closing) string {
	var causes []string
	for _, id := range c.Causes {
		name := id + ", not in the base"
		if x, ok := b.Cause(id); ok {
			name = x.Name
		} else if id == kb.Unlisted {
			name = "none of the listed causes"
		}
		causes = append(causes, name)
	}
	text := strings.Join(causes, ", ")
	if c.OneOf {
		text = strings.Join(causes, " or ") + ", nobody knows which"
	}
	if c.Confidence < 1 {
		text += ", " + percent(c.Confidence) + " sure"
	}
	if len(c.Fixes) > 0 {
		text += "; done: " + strings.Join(fixNames(b, c.Fixes), ", ")
	}
	if took := tookWords(c); took != "" {
		text += "; " + took
	}
	if c.Note != "" {
		text += " - " + c.Note
	}
	return text
}

func fixNames(b *kb.Base, ids []string) []string {
	var names []string
	for _, id := range ids {
		name := id
		if f, ok := b.Fix(id); ok {
			name = f.Name
		}
		names = append(names, name)
	}
	return names
}

// tookWords says how long a job took.
func tookWords(c *kb.Closing) string {
	switch {
	case c.Minutes > 0 && c.FixMinutes > 0:
		return fmt.Sprintf("%s, of these the fix %s", minutes(c.Minutes), minutes(c.FixMinutes))
	case c.FixMinutes > 0:
		return "the fix took " + minutes(c.FixMinutes)
	case c.Minutes > 0:
		return minutes(c.Minutes)
	}
	return ""
}

// usedWords lists the parts that a closing used, in base order.
func usedWords(b *kb.Base, c *kb.Closing) []string {
	if c.Used != nil && len(c.Used) == 0 {
		return []string{"no part"}
	}
	left := maps.Clone(c.Used)
	var out []string
	for i := range b.Parts {
		id := b.Parts[i].ID
		if n := left[id]; n > 0 {
			out = append(out, parts(n, &b.Parts[i]))
		}
		delete(left, id)
	}
	for _, id := range slices.Sorted(maps.Keys(left)) {
		out = append(out, fmt.Sprintf("%g x %s, not in the base", left[id], id))
	}
	return out
}
