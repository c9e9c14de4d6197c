package learn

import (
	"fmt"
	"testing"

	"sootsayer/kb"
)

// TestRootsOfAClosing: the same causes are roots that Add counts as such.
func TestRootsOfAClosing(t *testing.T) {
	c := New(kilnBase())
	for _, test := range []struct {
		name, family string
		closing      kb.Closing
		want         string
	}{
		{"one cause", kiln, kb.Closing{Causes: []string{"eye"}}, "[eye] false []"},
		{"root and effects", kiln, kb.Closing{Causes: []string{"eye", "grate", "nozzle"}}, "[grate] false []"},
		{"two independent", kiln, kb.Closing{Causes: []string{"wire", "eye"}}, "[wire eye] false []"},
		{"listed and unlisted", kiln, kb.Closing{Causes: []string{"eye", kb.Unlisted}}, "[eye] true []"},
		{"of another family", kiln, kb.Closing{Causes: []string{"vent", "eye"}}, "[eye] false [vent]"},
		{"one of several", kiln, kb.Closing{Causes: []string{"nozzle", "eye"}, OneOf: true}, "[nozzle eye] false []"},
		{"no such family", "forge", kb.Closing{Causes: []string{"eye"}}, "[] false [eye]"},
		{"nothing", kiln, kb.Closing{}, "[] false []"},
	} {
		t.Run(test.name, func(t *testing.T) {
			roots, unlisted, unknown := c.Roots(test.family, &test.closing)
			if got := fmt.Sprint(roots, unlisted, unknown); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
		})
	}
}
