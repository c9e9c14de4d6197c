package journal

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestLetsGoOfTheFile: a walk through a long journal does not come to hold all of
// it in memory, and letting go loses nothing.
func TestLetsGoOfTheFile(t *testing.T) {
	s := openTest(t, t.TempDir(), quick)
	if _, err := s.AppendBatches(t.Context(), jobEvents(1000)); err != nil {
		t.Fatal(err)
	}
	file, err := os.Stat(filepath.Join(s.Dir(), fileName))
	if err != nil {
		t.Fatal(err)
	}
	most := 0
	s.worked(letGoEvery)
	if held := heldOf(t, s.Dir()); held > 64<<10 {
		t.Errorf("%d bytes of the file are held after letting go", held)
	}
	for e, err := range s.EventsSince(0) {
		if err != nil {
			t.Fatal(err)
		}
		if e.Seq%1000 == 0 {
			most = max(most, heldOf(t, s.Dir()))
		}
	}
	if most == 0 || most > int(file.Size()/2) {
		t.Errorf("a walk held up to %d bytes of a file of %d", most, file.Size())
	}
	wantSound(t, s)
}

// mapping is the first line of what smaps says of a stretch of memory.
var mapping = regexp.MustCompile(`^[0-9a-f]+-[0-9a-f]+ `)

// heldOf is how much of a store's mapped file is in the memory of the process.
func heldOf(t *testing.T, dir string) int {
	t.Helper()
	text, err := os.ReadFile("/proc/self/smaps")
	if err != nil {
		t.Skip(err)
	}
	held, ours := 0, false
	for line := range strings.Lines(string(text)) {
		var kB int
		switch {
		case mapping.MatchString(line):
			ours = strings.Contains(line, filepath.Join(dir, fileName))
		case ours:
			if n, _ := fmt.Sscanf(line, "Rss: %d kB", &kB); n == 1 {
				held += kB << 10
			}
		}
	}
	return held
}
