package shop

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"sootsayer/index"
	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// worked makes a store with closed and open jobs, an index and kept counts.
func worked(t *testing.T) Config {
	t.Helper()
	now := time.Date(2026, time.March, 1, 8, 0, 0, 0, time.UTC)
	cfg := Config{Store: filepath.Join(t.TempDir(), "store"), By: "ann", Write: true, Now: func() time.Time { now = now.Add(time.Minute); return now }}
	s, err := Open(cfg)
	if err != nil {
		t.Fatal(err)
	}
	for i, cause := range []string{"nozzle-plugged", "tank-empty", kb.Unlisted, "", "nozzle-plugged", ""} {
		j, err := s.OpenJob(Complaint{Words: "starts then locks out", Family: "oil-furnace"})
		if err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 {
			if j, err = s.Record(j, kb.Finding{Kind: kb.KindCheck, ID: "chamber-clear", Outcome: "ok"}); err != nil {
				t.Fatal(err)
			}
		}
		if cause == "" {
			continue
		}
		if _, err := s.CloseJob(j, kb.Closing{Causes: []string{cause}, Confidence: 0.7}); err != nil {
			t.Fatal(err)
		}
	}
	if found := jobsWith(t, s, "locks out"); found != "1 2 3 5" {
		t.Fatalf("found jobs %s", found)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return cfg
}

// jobsWith lists the closed jobs that hold words, by id.
func jobsWith(t *testing.T, s *Shop, words string) string {
	t.Helper()
	x, err := s.Index()
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	hits, err := s.FindJobs(context.Background(), x, index.Query{Text: words}, nil)
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, h := range hits {
		ids = append(ids, h.ID)
	}
	slices.Sort(ids)
	return strings.Join(ids, " ")
}

// closeAnother closes a job that was open.
func closeAnother(t *testing.T, cfg Config) {
	t.Helper()
	s, err := Open(cfg)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	j, err := s.Job("4")
	if err == nil {
		_, err = s.CloseJob(j, kb.Closing{Causes: []string{"tank-empty"}, Confidence: 1})
	}
	if err != nil {
		t.Fatal(err)
	}
}

func verify(t *testing.T, cfg Config, repair bool) Verification {
	t.Helper()
	v, err := VerifyStore(context.Background(), cfg, repair, func(string) {})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// states are the states of the parts in their order; that of the stock is left to
// its own test.
func states(v Verification) string {
	var out []string
	for _, p := range v.Parts {
		if p.Part != "stock" {
			out = append(out, p.Part+" "+string(p.State))
		}
	}
	return strings.Join(out, ", ")
}

func TestVerifyStore(t *testing.T) {
	const allSound = "journal sound, base sound, index sound, jobs sound, counts sound"
	for _, tc := range []struct {
		name     string
		damage   func(t *testing.T, cfg *Config)
		found    string
		sound    bool
		repaired string // "" where a repair changes nothing
	}{
		{"nothing", func(*testing.T, *Config) {}, allSound, true, ""},
		{"no counts", func(t *testing.T, cfg *Config) { remove(t, cfg, "derived.json") },
			"journal sound, base sound, index sound, jobs sound, counts absent", true, ""},
		{"no index", func(t *testing.T, cfg *Config) { remove(t, cfg, "index") },
			"journal sound, base sound, index absent, jobs absent, counts sound", true, ""},
		{"counts of another journal", func(t *testing.T, cfg *Config) { replaceIn(t, cfg, `"journal":"`, `"journal":"x`) },
			"journal sound, base sound, index sound, jobs sound, counts outdated", true, "journal sound, base sound, index sound, jobs sound, counts repaired"},
		{"a weight", func(t *testing.T, cfg *Config) { replaceIn(t, cfg, `"w":0.`, `"w":0.1`) },
			"journal sound, base sound, index sound, jobs sound, counts wrong", false, "journal sound, base sound, index sound, jobs sound, counts repaired"},
		{"counts of events that are not there", func(t *testing.T, cfg *Config) { replaceIn(t, cfg, `"seq":`, `"seq":9`) },
			"journal sound, base sound, index sound, jobs sound, counts wrong", false, "journal sound, base sound, index sound, jobs sound, counts repaired"},
		{"an open job too many", func(t *testing.T, cfg *Config) {
			replaceIn(t, cfg, `"open":{`, `"open":{"77":{"at":"2026-03-01T08:00:00Z","by":"ann"},`)
		}, "journal sound, base sound, index sound, jobs sound, counts wrong", false, "journal sound, base sound, index sound, jobs sound, counts repaired"},
		{"no counts in it", func(t *testing.T, cfg *Config) { replaceIn(t, cfg, `"half_life_years":`, `"half_life_years":1`) },
			"journal sound, base sound, index sound, jobs sound, counts wrong", false, "journal sound, base sound, index sound, jobs sound, counts repaired"},
		{"a file of the index", func(t *testing.T, cfg *Config) { remove(t, cfg, "index/current/index_meta.json") },
			"journal sound, base sound, index wrong, jobs sound, counts sound", false, "journal sound, base sound, index repaired, jobs sound, counts sound"},
		{"no index of past jobs", func(t *testing.T, cfg *Config) { remove(t, cfg, "index/jobs") },
			"journal sound, base sound, index sound, jobs absent, counts sound", true, ""},
		{"a file of the index of past jobs", func(t *testing.T, cfg *Config) { remove(t, cfg, "index/jobs/current/store/root.bolt") },
			"journal sound, base sound, index sound, jobs wrong, counts sound", false, "journal sound, base sound, index sound, jobs repaired, counts sound"},
		{"a job closed since", func(t *testing.T, cfg *Config) { closeAnother(t, *cfg) },
			"journal sound, base sound, index sound, jobs outdated, counts sound", true, "journal sound, base sound, index sound, jobs repaired, counts sound"},
		{"no base", func(_ *testing.T, cfg *Config) { cfg.Base = "nowhere" },
			"journal sound, base wrong, index unchecked, jobs unchecked, counts unchecked", false, ""},
		{"a journal cut short", func(t *testing.T, cfg *Config) {
			if err := os.Truncate(filepath.Join(cfg.Store, "journal.db"), 9000); err != nil {
				t.Fatal(err)
			}
		}, "journal wrong, base sound, index sound, jobs unchecked, counts unchecked", false, "journal repaired, base sound, index sound, jobs repaired, counts repaired"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			cfg := worked(t)
			tc.damage(t, &cfg)
			v := verify(t, cfg, false)
			if got := states(v); got != tc.found || v.Sound() != tc.sound {
				t.Errorf("found %s, sound %v; want %s, %v", got, v.Sound(), tc.found, tc.sound)
			}
			want := tc.repaired
			if want == "" {
				want = tc.found
			}
			if got := states(verify(t, cfg, true)); got != want {
				t.Errorf("repaired: %s; want %s", got, want)
			}
			if got := states(verify(t, cfg, false)); tc.repaired != "" && got != allSound {
				t.Errorf("after the repair: %s", got)
			}
		})
	}
}

func remove(t *testing.T, cfg *Config, name string) {
	t.Helper()
	if err := os.RemoveAll(filepath.Join(cfg.Store, filepath.FromSlash(name))); err != nil {
		t.Fatal(err)
	}
}

// replaceIn changes the kept counts.
func replaceIn(t *testing.T, cfg *Config, old, with string) {
	t.Helper()
	path := filepath.Join(cfg.Store, "derived.json")
	text, err := os.ReadFile(path)
	if err != nil || !strings.Contains(string(text), old) {
		t.Fatalf("%s has no %s: %v\n%s", path, old, err, text)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(text), old, with, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestVerifyTellsTheDifference names what differs and by how much.
func TestVerifyTellsTheDifference(t *testing.T) {
	got := differences(map[string]float64{"same": 1, "near": 1 + 1e-10, "large": 1e12, "moved": 2, "extra": 3},
		map[string]float64{"same": 1, "near": 1, "large": 1e12 + 1, "moved": 2.5, "missing": 1})
	want := []string{"extra is 3 where the jobs make it 0", "missing is 0 where the jobs make it 1", "moved is 2 where the jobs make it 2.5"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("differences = %q, want %q", got, want)
	}
}

// TestVerifyAfterAnyFlippedBit flips bits of the journal: whatever they hit, a
// repair ends with a store that is sound and opens, and a store that is called
// sound answers as before.
func TestVerifyAfterAnyFlippedBit(t *testing.T) {
	cfg := worked(t)
	path := filepath.Join(cfg.Store, "journal.db")
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before := jobsOf(t, cfg)
	random := rand.New(rand.NewPCG(1, 2))
	wrong := 0
	for range 30 {
		damaged := slices.Clone(whole)
		at := random.IntN(len(damaged))
		for damaged[at] == 0 { // most of the file is unused
			at = random.IntN(len(damaged))
		}
		damaged[at] ^= 1 << random.IntN(8)
		if err := os.WriteFile(path, damaged, 0o600); err != nil {
			t.Fatal(err)
		}
		v := verify(t, cfg, false)
		if v.Sound() {
			if diff := cmp.Diff(before, jobsOf(t, cfg)); diff != "" {
				t.Errorf("byte %d: called sound, but the jobs changed:\n%s", at, diff)
			}
			continue
		}
		wrong++
		repaired := verify(t, cfg, true)
		if after := verify(t, cfg, false); !after.Sound() {
			t.Errorf("byte %d: not sound after the repair: %s\nfirst: %s\nrepair: %s", at, states(after), states(v), states(repaired))
		}
		jobsOf(t, cfg)
	}
	if wrong < 6 {
		t.Errorf("only %d of 30 flipped bits were noticed; the test does not test", wrong)
	}
}

// jobsOf opens a store for writing and lists its jobs.
func jobsOf(t *testing.T, cfg Config) []kb.Job {
	t.Helper()
	s, err := Open(cfg)
	if err != nil {
		t.Fatalf("the store does not open: %v", err)
	}
	defer s.Close()
	var out []kb.Job
	for j, err := range s.Journal().Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, j)
	}
	return out
}

func TestVerifyNeedsAStoreOfItsOwn(t *testing.T) {
	none := Config{Store: t.TempDir()}
	for _, repair := range []bool{false, true} {
		if _, err := VerifyStore(context.Background(), none, repair, func(string) {}); !errors.Is(err, journal.ErrNoStore) {
			t.Errorf("without a store, repair %v: %v", repair, err)
		}
	}
	cfg := worked(t)
	other, err := journal.Open(cfg.Store, journal.Options{Program: "elsewhere"})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	for _, repair := range []bool{false, true} {
		if _, err := VerifyStore(context.Background(), cfg, repair, func(string) {}); !errors.Is(err, journal.ErrInUse) {
			t.Errorf("in use, repair %v: %v", repair, err)
		}
	}
}

// TestVerifyKeepsWhatIsDamaged looks for the damaged files beside the repaired.
func TestVerifyKeepsWhatIsDamaged(t *testing.T) {
	cfg := worked(t)
	if err := os.WriteFile(filepath.Join(cfg.Store, "journal.db"), []byte("this was a file once"), 0o600); err != nil {
		t.Fatal(err)
	}
	remove(t, &cfg, "index/current/index_meta.json")
	verify(t, cfg, true)
	for _, pattern := range []string{"journal.db.damaged-*", "index.damaged-*"} {
		if kept, _ := filepath.Glob(filepath.Join(cfg.Store, pattern)); len(kept) != 1 {
			t.Errorf("%s: %q, want one kept", pattern, kept)
		}
	}
	s, err := Open(cfg)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	x, err := s.Index()
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	if hits, err := x.Search(context.Background(), index.Query{Text: "nozzle"}); err != nil || len(hits) == 0 {
		t.Errorf("the repaired index finds %d entries, %v", len(hits), err)
	}
}
