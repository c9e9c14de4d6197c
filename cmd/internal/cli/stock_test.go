package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// longPart has the longest id of the shipped base.
func longPart(s *session) string {
	var parts []struct{ ID string }
	if err := json.Unmarshal([]byte(s.must("base", "list", "parts", "--json")), &parts); err != nil {
		s.t.Fatal(err)
	}
	longest := ""
	for _, p := range parts {
		if len(p.ID) > len(longest) {
			longest = p.ID
		}
	}
	return longest
}

// TestStockFitsEightyColumns: every answer about parts, with the longest id,
// long places, great numbers and books below zero, fits a terminal of 80 columns
// and is there as JSON.
func TestStockFitsEightyColumns(t *testing.T) {
	s := newSession(t)
	part := longPart(s)
	place := "trailer-behind-truck-1"
	file := filepath.Join(t.TempDir(), "u.csv")
	if err := os.WriteFile(file, []byte("date,part,qty\n2020-01-15,"+part+",2\n2020-03-15,"+part+",2\n2022-05-15,"+part+",2\n2025-07-15,"+part+",2\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"stock", "list"}, {"stock", "usage", file}, {"stock", "usage", part + "=3"},
		{"stock", "count", "shelf", part + "=123456.25", "flame-eye=2"}, {"stock", "count", place, part + "=2", "--new-place"},
		{"stock", "on-order", part + "=1000", "--at", "2026-01-15"}, {"stock", "on-order", part + "=1000"}, {"stock", "on-order", part + "=-3"},
		{"stock", "receive", part + "=3000", "--place", place}, {"stock", "receive", part, "flame-eye"},
		{"stock", "move", part + "=8000", "flame-eye", "--from", place}, {"stock", "usage", part + "=3", "--place", place},
		{"stock", "count", "shelf", part + "=7"}, {"stock", "count", place, part + "=7", "--at", "2026-01-20"},
		{"stock", "list"}, {"stock", "list", "--all"}, {"stock", "list", "--place", place}, {"stock", "list", part, "flame-eye", "fan-belt"}, {"stock"},
	} {
		if long := tooLong(s.must(args...), 80); long != "" {
			t.Errorf("sootsayer %s prints a line over 80 characters:\n%s", strings.Join(args, " "), long)
		}
		if out := s.must(append(args, "--json")...); !json.Valid([]byte(out)) {
			t.Errorf("sootsayer %s --json is not JSON:\n%.300s", strings.Join(args, " "), out)
		}
	}
}

func TestRunsOfMonths(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "",
		"2024-02":                 "2024-02",
		"2024-11 2024-12 2025-01": "2024-11 to 2025-01",
		"2024-02 2024-04 2024-05 2024-07 2025-12 2026-01": "2024-02, 2024-04 to 2024-05, 2024-07, 2025-12 to 2026-01",
	} {
		if d := cmp.Diff(want, strings.Join(runsOfMonths(strings.Fields(text)), ", ")); d != "" {
			t.Errorf("%s:\n%s", text, d)
		}
	}
}
