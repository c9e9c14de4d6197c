package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"sootsayer/cmd/internal/shop"
)

// TestLinesFitEightyColumns runs what people read and looks for lines that a
// terminal of 80 columns would break.
func TestLinesFitEightyColumns(t *testing.T) {
	s := newSession(t)
	call(s)
	check := func(args ...string) {
		t.Helper()
		if long := tooLong(s.must(args...), 80); long != "" {
			t.Errorf("sootsayer %s prints a line over 80 characters:\n%s", strings.Join(args, " "), long)
		}
	}
	for _, args := range answers {
		check(args...)
	}
	_, all := tree(t)
	for _, c := range all {
		check(append(strings.Fields(c.CommandPath())[1:], "--help")...)
	}
}

// TestEveryEntryCanBeShown shows the whole shipped base, entry by entry: each
// with every caution that belongs to it, within 80 columns, and as JSON.
func TestEveryEntryCanBeShown(t *testing.T) {
	var out bytes.Buffer
	a := &app{env: &Env{Out: &out, Err: io.Discard, Getenv: func(string) string { return "" }}, store: filepath.Join(t.TempDir(), "none")}
	s, err := shop.Open(shop.Config{Store: a.store})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	show := func(id string, asJSON bool) string {
		out.Reset()
		a.json = asJSON
		if err := runBaseShow(a, s, id); err != nil {
			t.Errorf("base show %s: %v", id, err)
		}
		return out.String()
	}
	for _, list := range baseLists {
		for _, id := range s.Base().IDs(list) {
			text := show(id, false)
			if !strings.Contains(text, "("+id+")") {
				t.Errorf("base show %s does not name it:\n%s", id, text)
			}
			if long := tooLong(text, 80); long != "" {
				t.Errorf("base show %s prints a line over 80 characters:\n%s", id, long)
			}
			for _, caution := range cautionsOf(s.Base(), list, id) {
				if !strings.Contains(strings.Join(strings.Fields(text), " "), caution) {
					t.Errorf("base show %s leaves out the caution %q", id, caution)
				}
			}
			if text := show(id, true); !json.Valid([]byte(text)) {
				t.Errorf("base show %s --json is not JSON:\n%.200s", id, text)
			}
		}
	}
}
