package kb

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// FuzzLoad: whatever a file holds, loading and lint end without a panic, and a
// base that keeps the form is written and read back unchanged.
func FuzzLoad(f *testing.F) {
	f.Add([]byte(sample))
	for _, text := range validForms {
		f.Add([]byte(text))
	}
	for _, m := range mistakes {
		text, _ := marked(changed(m.from, m.to), "")
		f.Add([]byte(text))
	}
	for _, m := range beyondSchema {
		text, _ := marked(changed(m.from, m.to), "")
		f.Add([]byte(text))
	}
	for _, text := range []string{"", "a: [\n", "- - -", "{a: {b: [c]}}", "? a", "a: |\n  b\n c", "\ufeff", "---\n---\n", "schema: 1\nchecks: [{}]"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		b, problems := loadText(string(data))
		b.Lint()
		if len(problems) > 0 {
			return
		}
		text, err := b.YAML()
		if err != nil {
			t.Fatal(err)
		}
		again, problems := loadText(string(text))
		if len(problems) > 0 {
			t.Fatalf("%v\nin\n%s", problems, text)
		}
		if d := cmp.Diff(b, again, sameBase...); d != "" {
			t.Fatalf("the base changed (-before +after):\n%s\n%s", d, text)
		}
	})
}
