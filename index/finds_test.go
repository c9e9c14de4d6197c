package index

import (
	"bufio"
	"os"
	"slices"
	"strings"
	"testing"
)

// TestFinds is the golden of the search on the shipped base: the shares of
// queries whose entry is the first hit, and among the first three, must not
// fall. It prints every miss with -v.
func TestFinds(t *testing.T) {
	x := openMemory(t, shippedBase(t), Options{})
	f, err := os.Open("testdata/finds.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, first, three := 0, 0, 0
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		if lines.Text() == "" || lines.Text()[0] == '#' {
			continue
		}
		text, want, ok := strings.Cut(lines.Text(), " => ")
		if !ok {
			t.Fatalf("testdata/finds.txt: no ' => ' in %q", lines.Text())
		}
		all++
		switch got := found(t, x, Query{Text: text, Limit: 3}); slices.Index(got, want) {
		case 0:
			first, three = first+1, three+1
		case 1, 2:
			three++
		default:
			t.Logf("%q found %v, want %s", text, got, want)
		}
	}
	t.Logf("%d queries: %.3f found first, %.3f among three", all, share(first, all), share(three, all))
	if share(first, all) < 0.68 || share(three, all) < 0.93 {
		t.Errorf("%.3f found first and %.3f among three; want at least 0.68 and 0.93", share(first, all), share(three, all))
	}
}
