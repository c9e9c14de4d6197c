package shop

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"sootsayer/kb"
)

// TestOpenReadsNoJobs: a store of thousands of closed jobs answers from what is
// kept. It does not go through the jobs again: the journal's list of them is not
// even looked at.
func TestOpenReadsNoJobs(t *testing.T) {
	const n = 3000
	dir := t.TempDir()
	s := openBase(t, dir, "testdata/base")
	importText(t, s, manyRows(n))
	if jobs, _, err := s.ClosedJobs("oil-furnace"); jobs != n || err != nil {
		t.Fatalf("%d jobs, %v", jobs, err)
	}
	want := countsText(t, s)
	s = again(t, s)
	defer func() { s.Close() }()
	d, err := s.current()
	if err != nil {
		t.Fatal(err)
	}
	if d.Counts == nil || d.moves != 0 || d.changed {
		t.Errorf("the counts were made anew (moves %d, changed %v)", d.moves, d.changed)
	}
	if got := countsText(t, s); got != want {
		t.Error("what is kept is not what was counted")
	}
	kept, err := os.Stat(s.derivedPath())
	if err != nil || kept.Size() > 20_000 {
		t.Errorf("%d bytes are kept of %d jobs, %v; want it not to grow with the jobs", kept.Size(), n, err)
	}

	// One job more is one job's work.
	j, err := s.OpenJob(Complaint{Words: "locks out", Family: "oil-furnace"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.CloseJob(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	if d, err = s.current(); err != nil || d.moves != 1 {
		t.Errorf("%d jobs were taken in, %v; want 1", d.moves, err)
	}
	if jobs, _, _ := s.ClosedJobs("oil-furnace"); jobs != n+1 {
		t.Errorf("%d jobs, want %d", jobs, n+1)
	}
}

// TestImportIntoMany: a second import is taken in stretch by stretch, and one of
// more jobs than there were by counting all of them; both come to the same.
func TestImportIntoMany(t *testing.T) {
	s := openBase(t, t.TempDir(), "testdata/base")
	defer func() { s.Close() }()
	from := 0
	sizes := []int{2500, 2000, 6000}
	if testing.Short() {
		sizes = sizes[:2]
	}
	for _, more := range sizes {
		lines := strings.SplitAfter(manyRows(more), "\n")
		var file strings.Builder
		file.WriteString(lines[0])
		for i, l := range lines[1 : len(lines)-1] {
			_, rest, _ := strings.Cut(l, ",")
			fmt.Fprintf(&file, "%d,%s", from+i+1, rest)
		}
		from += more
		before := s.derived
		importText(t, s, file.String())
		if jobs, _, err := s.ClosedJobs("oil-furnace"); jobs != from || err != nil {
			t.Fatalf("%d jobs, %v; want %d", jobs, err, from)
		}
		d, err := s.current()
		if err != nil {
			t.Fatal(err)
		}
		if anew := d != before; anew != (more != 2000) {
			t.Errorf("%d jobs more: counted anew %v", more, anew)
		}
		fresh, err := s.recount()
		if err != nil {
			t.Fatal(err)
		}
		for _, diff := range differences(d.numbers(), fresh.numbers()) {
			t.Error(diff)
		}
	}
}
