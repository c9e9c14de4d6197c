package kb

import (
	"os"
	"testing"
)

// shippedBase loads the base in ../data/base, or skips the test without one.
func shippedBase(t testing.TB) (*Base, Problems) {
	t.Helper()
	const dir = "../data/base"
	if _, err := os.Stat(dir); err != nil {
		t.Skip("no shipped base here")
	}
	return Load(os.DirFS(dir))
}

// TestShippedBaseLintReport prints every problem of the shipped base and allows
// no error in it.
func TestShippedBaseLintReport(t *testing.T) {
	b, problems := shippedBase(t)
	problems = append(problems, b.Lint()...).InOrder()
	for _, p := range problems {
		t.Log(p.Error())
	}
	t.Logf("%d families, %d components, %d states, %d symptoms, %d checks, %d causes, %d fixes, %d parts, %d holds",
		len(b.Families), len(b.Components), len(b.States), len(b.Symptoms), len(b.Checks), len(b.Causes), len(b.Fixes), len(b.Parts), len(b.Holds))
	if n := len(problems.Errors()); n > 0 {
		t.Errorf("%d errors in the shipped base", n)
	}
}
