package index

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// openJobsIn opens the index of past jobs in a folder, asks it something, closes
// it and returns what it found and what was logged.
func openJobsIn(t testing.TB, dir string, s JobSource, text string) (found string, said []string) {
	t.Helper()
	x := openJobs(t, dir, s, JobOptions{Log: func(s string) { said = append(said, s) }})
	found = jobsFound(t, x, Query{Text: text, Limit: -1})
	if err := x.Close(); err != nil {
		t.Error(err)
	}
	return found, said
}

func TestJobsReused(t *testing.T) {
	dir, s := filepath.Join(t.TempDir(), "index", "jobs"), pastJobs()
	found, said := openJobsIn(t, dir, s, "mouse")
	wantSaid(t, said)
	before := filesOf(t, dir)
	again, said := openJobsIn(t, dir, s, "mouse")
	wantSaid(t, said)
	if found != "2" || again != "2" {
		t.Errorf("found %q, then %q", found, again)
	}
	if d := cmp.Diff(before, filesOf(t, dir)); d != "" {
		t.Error("reading changed the files")
	}
}

// TestJobsUpToDate follows a shop from job to job: each search finds what is
// closed by then.
func TestJobsUpToDate(t *testing.T) {
	dir, s := t.TempDir(), pastJobs()
	want := func(text, ids string) {
		t.Helper()
		found, said := openJobsIn(t, dir, s, text)
		if found != ids {
			t.Errorf("%q: found %q, want %q", text, found, ids)
		}
		wantSaid(t, said)
	}
	want("mouse nest", "2")
	s.close(PastJob{ID: "7", Complaint: "mouse in the burner", Causes: []string{"unlisted"}})
	want("mouse nest", "2 7")
	s.open("2") // it came back
	want("mouse nest", "7")
	s.close(PastJob{ID: "2", Complaint: "stone cold this morning", Causes: []string{"eye-dirty"}, Notes: []string{"it was the eye"}})
	want("mouse nest", "7")
	want("it was the eye", "2 5 4 3")
	for _, id := range []string{"1", "2", "3", "4", "5", "6", "7"} {
		s.open(id)
	}
	want("mouse nest", "")
	s.close(PastJob{ID: "1", Complaint: "no heat", Causes: []string{"eye-dirty"}})
	want("heat", "1")
}

// TestJobsIdle wants events that change no closed job to leave the files as they
// are, until there are many.
func TestJobsIdle(t *testing.T) {
	dir, s := t.TempDir(), pastJobs()
	openJobsIn(t, dir, s, "mouse")
	before := filesOf(t, dir)
	for range 3 {
		s.open("8")
		s.open("") // an event of no job
		if found, _ := openJobsIn(t, dir, s, "mouse"); found != "2" {
			t.Errorf("found %q", found)
		}
	}
	if d := cmp.Diff(before, filesOf(t, dir)); d != "" {
		t.Error("events of an open job changed the files")
	}
	for range idleEvents + 1 {
		s.open("8")
	}
	openJobsIn(t, dir, s, "mouse")
	m, err := readManifest(filepath.Join(dir, "current"))
	if err != nil || m.Seq != uint64(len(s.events)) {
		t.Errorf("read up to %d, %v; want %d", m.Seq, err, len(s.events))
	}
}

// TestJobsUpdatedLikeBuilt runs random histories through one index that is
// brought up to date every now and then, and through one built at the end.
func TestJobsUpdatedLikeBuilt(t *testing.T) {
	words := []string{"no", "heat", "fan", "squeals", "oil", "smell", "red", "lamp", "nest", "mouse", "wiring", "burner"}
	rapid.Check(t, func(rt *rapid.T) {
		s, dir := newFakeJobs("any"), filepath.Join(t.TempDir(), fmt.Sprint(rapid.Uint64().Draw(rt, "folder")))
		for range rapid.IntRange(1, 4).Draw(rt, "stretches") {
			for range rapid.IntRange(0, 12).Draw(rt, "events") {
				id := fmt.Sprint(rapid.IntRange(1, 9).Draw(rt, "job"))
				if rapid.IntRange(0, 3).Draw(rt, "act") == 0 {
					s.open(id)
					continue
				}
				text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, 5).Draw(rt, "complaint"), " ")
				s.close(PastJob{ID: id, Complaint: text, Causes: []string{"eye-dirty"}, Family: rapid.SampledFrom([]string{"shop-heater", "house-furnace"}).Draw(rt, "family")})
			}
			openJobsIn(t, dir, s, "heat")
		}
		kept, fresh := openJobs(t, dir, s, JobOptions{}), openJobs(t, filepath.Join(dir, "fresh"), s, JobOptions{})
		defer kept.Close()
		defer fresh.Close()
		q := Query{Text: strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, 3).Draw(rt, "question"), " "), Limit: rapid.SampledFrom([]int{-1, 0, 2}).Draw(rt, "limit"),
			Family: rapid.SampledFrom([]string{"", "shop-heater"}).Draw(rt, "of")}
		got, err := kept.Search(context.Background(), q)
		if err != nil {
			rt.Fatal(err)
		}
		want, err := fresh.Search(context.Background(), q)
		if err != nil {
			rt.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			rt.Errorf("%+v: built anew to kept:\n%s", q, d)
		}
	})
}

// TestJobsManySmallUpdates wants the files to stay few.
func TestJobsManySmallUpdates(t *testing.T) {
	if testing.Short() {
		t.Skip("writes an index many times")
	}
	dir, s := t.TempDir(), newFakeJobs("growing")
	for i := range 1000 {
		s.close(PastJob{ID: fmt.Sprint(i), Complaint: "fan squeals"})
	}
	for i := range 60 {
		s.close(PastJob{ID: fmt.Sprint("x", i%30), Complaint: fmt.Sprintf("howls number%d", i)})
		if found, _ := openJobsIn(t, dir, s, fmt.Sprintf("number%d", i)); found != fmt.Sprint("x", i%30) {
			t.Fatalf("update %d: found %q", i, found)
		}
	}
	if n := len(filesOf(t, dir)); n > 25 {
		t.Errorf("%d files after 60 updates", n)
	}
	if found, _ := openJobsIn(t, dir, s, "howls"); len(strings.Fields(found)) != 30 {
		t.Errorf("found %q, want 30 jobs", found)
	}
}

func TestJobsForeign(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(s *fakeJobs)
		says   string
	}{
		{"another journal", func(s *fakeJobs) { s.name = "other" }, "built from another journal"},
		{"an older copy of the journal", func(s *fakeJobs) { s.events = s.events[:3] }, "built from another journal"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, s := filepath.Join(t.TempDir(), "jobs"), pastJobs()
			openJobsIn(t, dir, s, "mouse")
			c.change(s)
			found, said := openJobsIn(t, dir, s, "mouse")
			wantSaid(t, said, c.says)
			_, said = openJobsIn(t, dir, s, "mouse")
			wantSaid(t, said)
			if left, _ := filepath.Glob(dir + ".*"); found != "2" || len(left) > 0 {
				t.Errorf("found %q, left behind %v", found, left)
			}
		})
	}
}

// TestJobsOfAnotherBase rebuilds when causes or synonyms are named otherwise,
// and not for other changes of the base.
func TestJobsOfAnotherBase(t *testing.T) {
	dir, s := t.TempDir(), pastJobs()
	b := testBase()
	open := func(want ...string) *JobIndex {
		t.Helper()
		var said []string
		x, err := openMemory(t, b, Options{}).OpenJobs(dir, b, s, JobOptions{Log: func(s string) { said = append(said, s) }})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { x.Close() })
		wantSaid(t, said, want...)
		return x
	}
	open()
	b.Symptoms[0].Phrases = append(b.Symptoms[0].Phrases, "icebox")
	b.Reindex()
	open()
	b.Causes[0].Name = "Photo sensor blind"
	b.Reindex()
	if got := jobsFound(t, open("built from another base"), Query{Text: "blind"}); got != "5 4 3" {
		t.Errorf("found %q by the new name", got)
	}
	b.Synonyms = append(b.Synonyms, []string{"lamp", "lantern"})
	b.Reindex()
	if got := jobsFound(t, open("built from another base"), Query{Text: "lantern"}); got != "4" {
		t.Errorf("found %q by the new synonym", got)
	}
}

func TestJobsDamaged(t *testing.T) {
	for name, damage := range map[string]func(path string, text []byte) error{
		"bit": func(path string, text []byte) error {
			text[len(text)/2] ^= 4
			return os.WriteFile(path, text, 0o600)
		},
		"truncated": func(path string, text []byte) error { return os.WriteFile(path, text[:len(text)/3], 0o600) },
		"removed":   func(path string, _ []byte) error { return os.Remove(path) },
	} {
		t.Run(name, func(t *testing.T) {
			dir, s := filepath.Join(t.TempDir(), "jobs"), pastJobs()
			openJobsIn(t, dir, s, "mouse")
			for path, text := range filesOf(t, dir) {
				s.close(PastJob{ID: "99", Complaint: "howls", Causes: []string{"eye-dirty"}}) // it is behind as well
				if _, err := os.Stat(path); err != nil {
					path = findLike(t, dir, path)
				}
				if err := damage(path, []byte(text)); err != nil {
					t.Fatal(err)
				}
				found, said := openJobsIn(t, dir, s, "mouse howls")
				wantSaid(t, said, "the index of past jobs was")
				if !strings.Contains(said[0], "damaged") || found != "99 2" && found != "2 99" {
					t.Errorf("%s: said %q, found %q", filepath.Base(path), said, found)
				}
				if kept, _ := filepath.Glob(dir + ".damaged-*"); len(kept) != 1 {
					t.Errorf("kept aside: %v", kept)
				}
			}
		})
	}
}

// TestJobsFolderUnusable wants an answer all the same, and nothing left behind.
func TestJobsFolderUnusable(t *testing.T) {
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for dir, says := range map[string]string{file: "built for this search alone", "": ""} {
		found, said := openJobsIn(t, dir, pastJobs(), "mouse")
		if found != "2" || len(said) > 0 != (says != "") || says != "" && !strings.Contains(said[0], says) {
			t.Errorf("folder %q: found %q, said %q", dir, found, said)
		}
	}
	if left, _ := os.ReadDir(tmp); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestJobsSourceFails(t *testing.T) {
	b, s := testBase(), pastJobs()
	s.fails = errSource
	_, err := openMemory(t, b, Options{}).OpenJobs(t.TempDir(), b, s, JobOptions{Log: func(s string) { t.Error(s) }})
	if !errors.Is(err, errSource) {
		t.Errorf("error %v, want %v", err, errSource)
	}
}

func TestJobsProgress(t *testing.T) {
	s, dir := newFakeJobs("progress"), t.TempDir()
	for i := range 3*progressJobs + 10 {
		s.close(PastJob{ID: fmt.Sprint(i), Complaint: "no heat"})
	}
	var told []int
	openJobs(t, dir, s, JobOptions{Progress: func(n int) { told = append(told, n) }})
	if d := cmp.Diff([]int{progressJobs, 2 * progressJobs, 3 * progressJobs}, told); d != "" {
		t.Error(d)
	}
	told = nil
	for i := range 3 {
		s.close(PastJob{ID: fmt.Sprint(i), Complaint: "hot"})
	}
	openJobs(t, dir, s, JobOptions{Progress: func(n int) { told = append(told, n) }})
	if !slices.Equal(told, []int{3}) {
		t.Errorf("told %v of 3 changed jobs", told)
	}
}

func TestVerifyJobs(t *testing.T) {
	b := testBase()
	dir, s := filepath.Join(t.TempDir(), "jobs"), pastJobs()
	verify := func(wantCurrent bool, wantWrong string) {
		t.Helper()
		before := filesOf(t, filepath.Dir(dir))
		current, wrong, err := VerifyJobs(dir, b, s)
		if err != nil || current != wantCurrent || len(wrong) > 0 != (wantWrong != "") || wantWrong != "" && !strings.Contains(wrong[0], wantWrong) {
			t.Errorf("current %v, wrong %q, %v; want %v, %q", current, wrong, err, wantCurrent, wantWrong)
		}
		if d := cmp.Diff(before, filesOf(t, filepath.Dir(dir))); d != "" {
			t.Error("looking changed the files")
		}
	}
	verify(false, "") // none yet
	openJobsIn(t, dir, s, "mouse")
	verify(true, "")
	s.open("8")
	verify(true, "") // nothing to take in
	s.close(PastJob{ID: "8", Complaint: "howls"})
	verify(false, "") // behind
	openJobsIn(t, dir, s, "mouse")
	verify(true, "")

	nine := PastJob{ID: "9", Complaint: "howls"}
	s.closed["9"] = nine // as if an event had been lost on the way
	verify(false, "closed job 9 is not in it")
	delete(s.closed, "9")
	eight := s.closed["8"]
	delete(s.closed, "8")
	verify(false, "it holds 7 jobs where 6 are closed")
	s.closed["8"] = eight
	verify(true, "")

	flip(t, filepath.Join(dir, "current", "store", "root.bolt"))
	verify(false, "does not hold what was written")
	openJobsIn(t, dir, s, "mouse")
	verify(true, "")
	s.name = "other"
	verify(false, "") // foreign: built anew by the next search
	s.fails = errSource
	if _, _, err := VerifyJobs(dir, b, s); !errors.Is(err, errSource) {
		t.Errorf("error %v, want %v", err, errSource)
	}
}

// flip changes one bit of a file.
func flip(t *testing.T, path string) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text[len(text)/2] ^= 1
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
}
