package shop

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"sootsayer/kb"
)

// openAt opens the shop in dir at a fixed time.
func openAt(t *testing.T, dir string, write bool) *Shop {
	t.Helper()
	s, err := Open(Config{Store: dir, By: "ann", Write: write,
		Now: func() time.Time { return time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestDerivedCatchesUp: what is kept beside the journal and brought up to date
// event by event is what working it out from all jobs gives, however the jobs
// went: closed, reopened, closed otherwise, in one run of the program or many.
func TestDerivedCatchesUp(t *testing.T) {
	for seed := range uint64(5) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { workAtRandom(t, rand.New(rand.NewPCG(seed, 1)), 25) })
	}
}

// workAtRandom does so many things in a shop, in any order.
func workAtRandom(t *testing.T, rng *rand.Rand, acts int) {
	dir := t.TempDir()
	s := openAt(t, dir, true)
	defer func() { s.Close() }()
	var jobs []string
	causes := []string{"nozzle-plugged", "tank-water", "control-dead", kb.Unlisted}
	for range acts {
		what := rng.IntN(6)
		if len(jobs) == 0 {
			what = 0
		}
		switch what {
		case 0:
			j, err := s.OpenJob(Complaint{Words: "locks out", Family: "oil-furnace", Symptoms: []kb.Finding{{Kind: kb.KindSymptom, ID: "starts-then-locks-out", Outcome: kb.Yes}}})
			if err != nil {
				t.Fatal(err)
			}
			jobs = append(jobs, j.ID)
		case 5: // the program ends and starts again
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			s = openAt(t, dir, true)
		default:
			j, err := s.Job(jobs[rng.IntN(len(jobs))])
			if err != nil {
				t.Fatal(err)
			}
			switch {
			case j.Closed():
				_, err = s.Reopen(j, "")
			case what == 1:
				_, err = s.Record(j, kb.Finding{Kind: kb.KindCheck, ID: "chamber-clear", Outcome: "ok"})
			case what == 2 && len(j.Acts) > 0:
				_, _, err = s.Undo(j)
			default:
				_, err = s.CloseJob(j, kb.Closing{Causes: []string{causes[rng.IntN(len(causes))]}, Confidence: 0.8})
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		compareDerived(t, s)
	}
}

func compareDerived(t *testing.T, s *Shop) {
	got, err := s.current()
	if err != nil {
		t.Fatal(err)
	}
	want, err := s.recount()
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Open) != len(want.Open) || got.Seq != want.Seq {
		t.Fatalf("kept %d open jobs at event %d, all jobs give %d at %d", len(got.Open), got.Seq, len(want.Open), want.Seq)
	}
	for id := range want.Open {
		if _, ok := got.Open[id]; !ok {
			t.Fatalf("open job %s was forgotten", id)
		}
	}
	a, b := got.counts.Priors(s.base, "oil-furnace", "", s.Now()), want.counts.Priors(s.base, "oil-furnace", "", s.Now())
	for i := range a {
		if a[i].ID != b[i].ID || a[i].Jobs != b[i].Jobs || math.Abs(a[i].Now-b[i].Now) > 1e-12 {
			t.Fatalf("kept %+v, all jobs give %+v", a[i], b[i])
		}
	}
}

// TestDerivedMayBeDeletedOrDamaged: it is made anew, and nothing is lost.
func TestDerivedMayBeDeletedOrDamaged(t *testing.T) {
	for name, harm := range map[string]func(path string) error{
		"deleted": os.Remove,
		"damaged": func(p string) error { return os.WriteFile(p, []byte(`{"version":1`), 0o644) },
		"of others": func(p string) error {
			return os.WriteFile(p, []byte(`{"version":1,"journal":"x","base":"y","seq":99}`), 0o644)
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			s := openAt(t, dir, true)
			j, err := s.OpenJob(Complaint{Words: "locks out", Family: "oil-furnace"})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := s.CloseJob(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil {
				t.Fatal(err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			if err := harm(filepath.Join(dir, "derived.json")); err != nil {
				t.Fatal(err)
			}
			s = openAt(t, dir, false)
			defer s.Close()
			if n, _, err := s.ClosedJobs("oil-furnace"); err != nil || n != 1 {
				t.Errorf("%d closed jobs, %v; want 1", n, err)
			}
		})
	}
}

// TestCurrentJob: a command without a job number means one's own newest job,
// never somebody else's when there is a choice.
func TestCurrentJob(t *testing.T) {
	dir := t.TempDir()
	open := func(by string) *Shop {
		s, err := Open(Config{Store: dir, By: by, Write: true})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for _, by := range []string{"ann", "bob", "ann"} {
		s := open(by)
		if _, err := s.OpenJob(Complaint{Words: "no heat", Family: "oil-furnace"}); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for by, want := range map[string]string{"ann": "3", "bob": "2", "carol": ""} {
		s := open(by)
		j, err := s.CurrentJob()
		if j.ID != want || (err == nil) != (want != "") {
			t.Errorf("%s works job %q (%v), want %q", by, j.ID, err, want)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
