package cli

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestMappingSample: an invented office's table of tickets, with its mapping for
// the shipped base, is shown by a dry run and taken in as the files beside it say.
// To write those anew:
//
//	go test ./cmd/internal/cli -run TestMappingSample -update
func TestMappingSample(t *testing.T) {
	dir, err := filepath.Abs(filepath.Join("..", "..", "..", "testdata", "mapping"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir) // so that the names of the files are short
	s := newSession(t)
	args := []string{"job", "import", "office.csv", "--map", "office.yaml"}
	code, shown, _ := s.run(append(args, "--dry-run")...)
	if code != ExitFailed {
		t.Errorf("the dry run exits with %d, want %d for the bad rows", code, ExitFailed)
	}
	if long := tooLong(shown, 80); long != "" {
		t.Errorf("the dry run prints a line over 80 characters:\n%s", long)
	}
	sameFile(t, "office.txt", shown)
	s.run(args...)
	sameFile(t, "office_plain.csv", s.must("job", "export", "--all-columns"))
}

func sameFile(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}
