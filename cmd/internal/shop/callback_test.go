package shop

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// countsText is what the shop learned, as it keeps it.
func countsText(t testing.TB, s *Shop) string {
	t.Helper()
	d, err := s.current()
	if err != nil {
		t.Fatal(err)
	}
	return marshalled(t, d)
}

// TestCallbackTakesCountBack: a job that came back within the window teaches
// nothing, whichever of the two comes in first, and the same is counted step by
// step and anew.
func TestCallbackTakesCountBack(t *testing.T) {
	const first = "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,eye-sooted,,,,\n"
	for _, test := range []struct {
		name, back string
		want       int // jobs counted
	}{
		{"a week later", "2,2024-10-09,2024-10-09,oil-furnace,,,,,,,tank-water,,,,1\n", 1},
		{"the same day", "2,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,1\n", 1},
		{"30 days later", "2,2024-11-01,2024-11-01,oil-furnace,,,,,,,tank-water,,,,1\n", 1},
		{"31 days later", "2,2024-11-02,2024-11-02,oil-furnace,,,,,,,tank-water,,,,1\n", 2},
		{"before", "2,2024-10-01,2024-10-01,oil-furnace,,,,,,,tank-water,,,,1\n", 2},
		{"of another job", "2,2024-10-09,2024-10-09,oil-furnace,,,,,,,tank-water,,,,3\n", 2},
		{"opened again", "1,2024-10-09,2024-10-09,oil-furnace,,,,,,,tank-water,,,,1\n", 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			for _, order := range []string{header + first + "|" + header + test.back, header + test.back + "|" + header + first, header + first + test.back} {
				if strings.HasPrefix(order, header+"1,2024-10-09") {
					continue // goes on with a job that is not there yet
				}
				s, _ := openSmall(t, t.TempDir())
				for file := range strings.SplitSeq(order, "|") {
					if _, said := importText(t, s, file); len(said) > 0 {
						t.Fatal(said)
					}
					if _, err := s.current(); err != nil {
						t.Fatal(err)
					}
				}
				if n, _, err := s.ClosedJobs("oil-furnace"); n != test.want || err != nil {
					t.Errorf("%d jobs count, error %v; want %d of\n%s", n, err, test.want, order)
				}
				kept := countsText(t, s)
				if diff := cmp.Diff(countsOf(t, s), kept); diff != "" {
					t.Errorf("counted anew and step by step differ:\n%s", diff)
				}
			}
		})
	}
}

// TestOpenCallback: a callback takes the count back when it is opened.
func TestOpenCallback(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	importText(t, s, header+"1,2025-02-20,2025-02-20,oil-furnace,,,,,,,eye-sooted,,,,\n")
	if n, _, _ := s.ClosedJobs("oil-furnace"); n != 1 {
		t.Fatalf("%d jobs count; want 1", n)
	}
	j, err := s.OpenJob(Complaint{Words: "it is back", Family: "oil-furnace", CallbackOf: "1"})
	if err != nil {
		t.Fatal(err)
	}
	if n, _, _ := s.ClosedJobs("oil-furnace"); n != 0 {
		t.Errorf("%d jobs count while the callback is open; want 0", n)
	}
	if _, err := s.CloseJob(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	if n, _, _ := s.ClosedJobs("oil-furnace"); n != 1 {
		t.Errorf("%d jobs count; want the callback alone", n)
	}
}

// TestCallbackWindow: the base says how long a shop answers for its work.
func TestCallbackWindow(t *testing.T) {
	small, err := os.ReadFile("testdata/base/small.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		days string
		want int // jobs counted of one that came back after 9 days
	}{{"callback_days: 8.9", 2}, {"callback_days: 9", 1}, {"callback_days: 0", 2}, {"strength: 30", 1}} {
		base := t.TempDir()
		if err := os.WriteFile(filepath.Join(base, "small.yaml"), append(slices.Clone(small), "\nsettings: {"+test.days+"}\n"...), 0o644); err != nil {
			t.Fatal(err)
		}
		s := openBase(t, t.TempDir(), base)
		defer s.Close()
		importText(t, s, header+"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,eye-sooted,,,,\n2,2024-10-11,2024-10-11,oil-furnace,,,,,,,eye-sooted,,,,1\n")
		if n, _, err := s.ClosedJobs("oil-furnace"); n != test.want || err != nil {
			t.Errorf("%s: %d jobs count, %v; want %d", test.days, n, err, test.want)
		}
	}
}

// TestCallbackCures: what was done counts as a cure that failed when the trouble
// comes back, until the callback is closed with another cause.
func TestCallbackCures(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	failed := func() (trials int, held float64) {
		t.Helper()
		d, err := s.current()
		if err != nil {
			t.Fatal(err)
		}
		if f := d.counts.Fixes["clean-eye"]; f != nil {
			return f.Cures.Jobs, f.Cures.Hits / max(f.Cures.Weight, 1e-300)
		}
		return 0, 0
	}
	want := func(what string, trials int, held float64) {
		t.Helper()
		if n, h := failed(); n != trials || math.Abs(h-held) > 1e-12 {
			t.Errorf("%s: cleaned %d times and held in %.2f of them, want %d and %.2f", what, n, h, trials, held)
		}
	}
	j := closedJob(t, s, kb.Closing{Causes: []string{"eye-sooted"}, Confidence: 1})
	want("closed", 1, 1)
	back, err := s.OpenJob(Complaint{Words: "again", Family: "oil-furnace", CallbackOf: j.ID})
	if err != nil {
		t.Fatal(err)
	}
	want("came back", 1, 0)
	if back, err = s.CloseJob(back, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	want("it was something else", 0, 0)
	if back, err = s.CorrectClosing(back, kb.Closing{Causes: []string{"eye-sooted"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	want("it was the same, and this time it held", 2, 0.5)
	if _, err = s.Reopen(back, ""); err != nil {
		t.Fatal(err)
	}
	want("both came back", 1, 0)
	if diff := cmp.Diff(countsOf(t, s), countsText(t, s)); diff != "" {
		t.Errorf("counted anew and step by step differ:\n%s", diff)
	}
}
