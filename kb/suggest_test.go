package kb

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

var inf = math.Inf(1)

func TestNearest(t *testing.T) {
	have := []string{"nozzle-plugged", "nozzle-worn", "pump-worn", "ok", "high"}
	for _, c := range []struct{ want, nearest string }{
		{"nozzle-pluged", "nozzle-plugged"},
		{"nozzle-plugegd", "nozzle-plugged"},
		{"nozle-worn", "nozzle-worn"},
		{"pump-worn", "pump-worn"},
		{"hihg", "high"},
		{"ko", "ok"},
		{"flue-blocked", ""},
		{"", ""},
	} {
		if got, ok := Nearest(c.want, have); got != c.nearest || ok != (c.nearest != "") {
			t.Errorf("Nearest(%q) = %q, %v; want %q", c.want, got, ok, c.nearest)
		}
	}
}

// TestEditDistancePublished checks worked values: kitten and sitting are the
// usual example of Levenshtein's distance, 3; in Damerau's paper ("A technique
// for computer detection and correction of spelling errors", CACM 7(3), 1964)
// one change, one letter too many, one missing and one swap are single errors.
func TestEditDistancePublished(t *testing.T) {
	for _, c := range []struct {
		a, b string
		d    int
	}{
		{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"abc", "", 3},
		{"ALPHABET", "ALPHAXET", 1}, {"ALPHABET", "ALPHABXET", 1}, {"ALPHABET", "ALPHAET", 1}, {"ALPHABET", "ALPHBAET", 1},
	} {
		if got := EditDistance([]rune(c.a), []rune(c.b), 99); got != c.d {
			t.Errorf("distance of %q and %q is %d, want %d", c.a, c.b, got, c.d)
		}
	}
}

// TestNearestIsNearest compares the fast search with the distance from its
// definition.
func TestNearestIsNearest(t *testing.T) {
	word := rapid.StringMatching(`[a-d]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		want, have := word.Draw(t, "want"), rapid.SliceOf(word).Draw(t, "have")
		best, bestDistance := "", max(1, len(want)/3)+1
		for _, h := range have {
			if d := plainDistance(want, h); d < bestDistance {
				best, bestDistance = h, d
			}
		}
		if got, _ := Nearest(want, have); got != best {
			t.Fatalf("Nearest(%q, %q) = %q, want %q", want, have, got, best)
		}
	})
}

// plainDistance is the optimal string alignment distance by its recursion.
func plainDistance(a, b string) int {
	switch {
	case a == "":
		return len(b)
	case b == "":
		return len(a)
	}
	cost := 1
	if a[len(a)-1] == b[len(b)-1] {
		cost = 0
	}
	d := min(plainDistance(a[:len(a)-1], b)+1, plainDistance(a, b[:len(b)-1])+1, plainDistance(a[:len(a)-1], b[:len(b)-1])+cost)
	if n, m := len(a), len(b); n > 1 && m > 1 && a[n-1] == b[m-2] && a[n-2] == b[m-1] {
		d = min(d, plainDistance(a[:n-2], b[:m-2])+1)
	}
	return d
}
