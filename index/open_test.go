package index

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"sootsayer/kb"
)

// openIn opens an index on disk, asks it something, closes it and returns what
// was logged.
func openIn(t *testing.T, dir string, b *kb.Base) []string {
	t.Helper()
	var said []string
	x, err := Open(dir, b, Options{Log: func(s string) { said = append(said, s) }})
	if err != nil {
		t.Fatal(err)
	}
	if got := found(t, x, Query{Text: "no heat", Limit: 1}); len(got) != 1 || got[0] != "symptom/no-warmth" {
		t.Errorf("found %v", got)
	}
	if err := x.Close(); err != nil {
		t.Errorf("Close: %v", err)
	}
	return said
}

func wantSaid(t *testing.T, said []string, want ...string) {
	t.Helper()
	if len(said) != len(want) {
		t.Fatalf("said %q, want %d messages", said, len(want))
	}
	for i, w := range want {
		if !strings.Contains(said[i], w) {
			t.Errorf("said %q, want something with %q", said[i], w)
		}
	}
}

// filesOf lists the files below dir with their contents.
func filesOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		out[path] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestOpenReuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "store", "index")
	wantSaid(t, openIn(t, dir, testBase()))
	before := filesOf(t, dir)
	if len(before) != 4 {
		t.Errorf("%d files, want meta, bolt, segment and manifest", len(before))
	}
	wantSaid(t, openIn(t, dir, testBase()))
	for path, text := range filesOf(t, dir) {
		if before[path] != text {
			t.Errorf("%s was changed by reading", path)
		}
	}
	if current, got := Verify(dir, testBase()); got != nil || !current {
		t.Errorf("Verify: %q", got)
	}
	// What a shop learns does not touch the files.
	x, err := Open(dir, testBase(), Options{Phrases: []ChosenPhrase{{"gurgles", "squeals", 2}}, Log: func(s string) { t.Error(s) }})
	if err != nil {
		t.Fatal(err)
	}
	x.Close()
}

func TestOpenOutdated(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(b *kb.Base)
	}{
		{"phrase", func(b *kb.Base) { b.Symptoms[0].Phrases[1] = "cold as ice" }},
		{"synonym", func(b *kb.Base) { b.Synonyms = b.Synonyms[1:] }},
		{"name", func(b *kb.Base) { b.Parts[0].Name = "Tip" }},
		{"step", func(b *kb.Base) { b.Checks[0].How = b.Checks[0].How[:1] }},
		{"entry", func(b *kb.Base) { b.Parts = b.Parts[:1] }},
		{"id", func(b *kb.Base) { b.Causes[0].ID = "eye-sooted" }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "index")
			wantSaid(t, openIn(t, dir, testBase()))
			b := testBase()
			c.change(b)
			b.Reindex()
			if current, got := Verify(dir, b); got != nil || current {
				t.Errorf("Verify: %q", got)
			}
			wantSaid(t, openIn(t, dir, b), "built from another base")
			wantSaid(t, openIn(t, dir, b))
			if left, _ := filepath.Glob(dir + ".*"); len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
}

// A change of what is not indexed keeps the index.
func TestOpenKeepsIndex(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "index")
	openIn(t, dir, testBase())
	b := testBase()
	b.Symptoms[0].Minutes = 12
	b.Causes[0].Share["house-furnace"] = 3
	b.Parts[0].UnitCost = 99
	wantSaid(t, openIn(t, dir, b))
}

// TestOpenDamaged damages every file in several ways.
func TestOpenDamaged(t *testing.T) {
	for _, c := range []struct {
		name   string
		damage func(path string, text []byte) error
	}{
		{"first byte", func(path string, text []byte) error { text[0] ^= 1; return os.WriteFile(path, text, 0o600) }},
		{"bit in the middle", func(path string, text []byte) error {
			text[len(text)/2] ^= 0x10
			return os.WriteFile(path, text, 0o600)
		}},
		{"truncated", func(path string, text []byte) error { return os.WriteFile(path, text[:len(text)/3], 0o600) }},
		{"empty", func(path string, _ []byte) error { return os.WriteFile(path, nil, 0o600) }},
		{"longer", func(path string, text []byte) error { return os.WriteFile(path, append(text, 'x'), 0o600) }},
		{"removed", func(path string, _ []byte) error { return os.Remove(path) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "index")
			openIn(t, dir, testBase())
			for path := range filesOf(t, dir) {
				text, err := os.ReadFile(path) // each time: it was built anew
				if err != nil {
					path = findLike(t, dir, path)
					if text, err = os.ReadFile(path); err != nil {
						t.Fatal(err)
					}
				}
				if err := c.damage(path, text); err != nil {
					t.Fatal(err)
				}
				if _, got := Verify(dir, testBase()); len(got) != 1 || !strings.Contains(got[0], "search index") {
					t.Errorf("%s: Verify: %q", filepath.Base(path), got)
				}
				wantSaid(t, openIn(t, dir, testBase()), "damaged")
				wantSaid(t, openIn(t, dir, testBase()))
				if kept, _ := filepath.Glob(dir + ".damaged-*"); len(kept) != 1 {
					t.Errorf("kept aside: %v", kept)
				}
			}
		})
	}
}

// findLike finds a file by its base name.
func findLike(t *testing.T, dir, path string) string {
	t.Helper()
	for p := range filesOf(t, dir) {
		if filepath.Base(p) == filepath.Base(path) {
			return p
		}
	}
	t.Fatalf("no %s", path)
	return ""
}

func TestDamagedName(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "index")
	openIn(t, dir, testBase())
	if err := os.Remove(filepath.Join(dir, "current", manifestName)); err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return time.Date(2031, 2, 3, 4, 5, 6, 0, time.UTC) }
	x, err := Open(dir, testBase(), Options{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	x.Close()
	if _, err := os.Stat(dir + ".damaged-20310203T040506Z"); err != nil {
		t.Error(err)
	}
}

// TestForeignIndex puts bleve files that are whole but not those of the
// manifest's digests in place.
func TestForeignIndex(t *testing.T) {
	dir, other := filepath.Join(t.TempDir(), "index"), filepath.Join(t.TempDir(), "index")
	openIn(t, dir, testBase())
	b := testBase()
	b.Symptoms = b.Symptoms[:3]
	b.Reindex()
	openIn(t, other, b)
	store := filepath.Join("current", "store")
	if err := os.RemoveAll(filepath.Join(dir, store)); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(other, store), filepath.Join(dir, store)); err != nil {
		t.Fatal(err)
	}
	wantSaid(t, openIn(t, dir, testBase()), "damaged")
}

// TestFolderUnusable gives folders that cannot be made or written.
func TestFolderUnusable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	t.Run("below a file", func(t *testing.T) {
		wantSaid(t, openIn(t, filepath.Join(file, "index"), testBase()), "searching in memory")
	})
	t.Run("a file", func(t *testing.T) {
		wantSaid(t, openIn(t, file, testBase()), "searching in memory")
	})
	t.Run("no right to write", func(t *testing.T) {
		if os.Geteuid() == 0 {
			t.Skip("root may write anywhere")
		}
		parent := t.TempDir()
		if err := os.Chmod(parent, 0o500); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.Chmod(parent, 0o700) })
		wantSaid(t, openIn(t, filepath.Join(parent, "index"), testBase()), "searching in memory")
	})
	t.Run("whole, but no right to write", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "index")
		openIn(t, dir, testBase())
		for path := range filesOf(t, dir) {
			if err := os.Chmod(path, 0o400); err != nil {
				t.Fatal(err)
			}
		}
		wantSaid(t, openIn(t, dir, testBase()))
	})
	t.Run("none given", func(t *testing.T) {
		x := openMemory(t, testBase(), Options{Log: func(s string) { t.Error(s) }})
		if !x.InMemory() || x.Len() != 20 {
			t.Errorf("in memory %v, %d entries", x.InMemory(), x.Len())
		}
	})
}

func TestStaleBuildsAreRemoved(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "index")
	old, young := dir+".tmp-77-old", dir+".tmp-78-young"
	for _, d := range []string{old, young} {
		if err := os.Mkdir(d, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	before := time.Now().Add(-2 * staleAfter)
	if err := os.Chtimes(old, before, before); err != nil {
		t.Fatal(err)
	}
	openIn(t, dir, testBase())
	if _, err := os.Stat(old); !os.IsNotExist(err) {
		t.Errorf("the stale build is still there: %v", err)
	}
	if _, err := os.Stat(young); err != nil {
		t.Errorf("another process's build was removed: %v", err)
	}
}

func TestOpenOddBases(t *testing.T) {
	if _, err := Open("", nil, Options{}); err == nil {
		t.Error("a missing base gave no error")
	}
	dir := filepath.Join(t.TempDir(), "index")
	empty := &kb.Base{}
	empty.Reindex()
	x, err := Open(dir, empty, Options{Log: func(s string) { t.Error(s) }})
	if err != nil {
		t.Fatal(err)
	}
	if got := found(t, x, Query{Text: "no heat"}); len(got) != 0 || len(x.Understand("no heat", "")) != 0 {
		t.Errorf("found %v in an empty base", got)
	}
	x.Close()
	twice := testBase()
	twice.Symptoms = append(twice.Symptoms, twice.Symptoms[0])
	twice.Reindex()
	wantSaid(t, openIn(t, dir, twice))
	if current, got := Verify(filepath.Join(dir, "none"), twice); got != nil || current {
		t.Errorf("Verify of no index: %q", got)
	}
}

// TestBleveVersion compares the version in the index key with the one in go.mod.
func TestBleveVersion(t *testing.T) {
	text, err := os.ReadFile("../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`github.com/blevesearch/bleve/v2 (v\S+)`).FindStringSubmatch(string(text))
	if m == nil || m[1] != bleveVersion {
		t.Errorf("go.mod names bleve %v, manifest.go %s; change bleveVersion", m, bleveVersion)
	}
}
