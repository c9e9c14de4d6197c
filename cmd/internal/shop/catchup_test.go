package shop

import (
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// anyDay is a day around testNow, so that some jobs come back within the
// callback window and others after it, and some events lie before those that
// arrived first.
func anyDay(t *rapid.T) time.Time {
	return testNow.AddDate(0, 0, -rapid.IntRange(0, 90).Draw(t, "days ago"))
}

// anyEvent draws one event of one of a few jobs, whatever has happened to it.
func anyEvent(t *rapid.T, n int, so []journal.Event, wholeOnly bool) journal.Event {
	jobs := []string{"1", "2", "3", "10", "x"}
	at := anyDay(t)
	e := journal.Event{ID: journal.EventIDFor(at, "test", uint16(n)), At: at, By: "ann", V: journal.EventVersion,
		Job:  rapid.SampledFrom(jobs).Draw(t, "job"),
		Kind: rapid.SampledFrom([]journal.Kind{journal.KindJobOpened, journal.KindJobOpened, journal.KindFindingRecorded, journal.KindFindingRecorded, journal.KindFixTried, journal.KindJobClosed, journal.KindJobClosed, journal.KindJobClosed, journal.KindJobReopened, journal.KindFindingWithdrawn, journal.KindPartUsed, journal.KindPhraseChosen}).Draw(t, "kind")}
	minutes := 0.0
	if !wholeOnly {
		minutes = rapid.SampledFrom([]float64{0, 5, 12.5, 70}).Draw(t, "minutes")
	}
	switch e.Kind {
	case journal.KindJobOpened:
		e.Family = rapid.SampledFrom([]string{"oil-furnace", "oil-furnace", "gas-furnace", "steam-boiler"}).Draw(t, "family")
		e.Model = rapid.SampledFrom([]string{"", "m1", "m2"}).Draw(t, "model")
		if of := rapid.SampledFrom(append([]string{""}, jobs...)).Draw(t, "callback of"); of != e.Job {
			e.CallbackOf = of
		}
	case journal.KindFindingRecorded:
		f := rapid.SampledFrom([]kb.Finding{{Kind: kb.KindSymptom, ID: "locks-out", Outcome: kb.Yes}, {Kind: kb.KindCheck, ID: "tank-bottom", Outcome: "water"},
			{Kind: kb.KindCheck, ID: "nozzle-look", Weights: map[string]float64{"ok": 0.75, "worn": 0.25}}, {Kind: kb.KindCheck, ID: "gone", Outcome: "ok"}}).Draw(t, "finding")
		f.Minutes = minutes
		e.Finding = &f
	case journal.KindFixTried:
		e.Fix, e.Minutes = rapid.SampledFrom([]string{"replace-nozzle", "remove-water", "gone"}).Draw(t, "fix"), minutes
	case journal.KindJobClosed:
		e.Closing = anyClosing(t, minutes, wholeOnly)
	case journal.KindFindingWithdrawn:
		e.Of = journal.EventIDFor(at, "nobody's", uint16(n))
		if len(so) > 0 {
			if of := rapid.SampledFrom(so).Draw(t, "of"); of.Job != "" {
				e.Job, e.Of = of.Job, of.ID
			}
		}
	case journal.KindPartUsed:
		e.Part, e.Qty = "nozzle-085", new(1.0)
	case journal.KindPhraseChosen:
		e.Job, e.Phrase, e.Symptom = "", "locks out", "locks-out"
	}
	return e
}

func anyClosing(t *rapid.T, minutes float64, wholeOnly bool) *kb.Closing {
	causes := rapid.SampledFrom([][]string{{"nozzle-plugged"}, {"tank-water"}, {"tank-water", "nozzle-plugged"}, {"eye-sooted", "tank-water"}, {kb.Unlisted}, {"gas-valve-dead"}, {"gone"}}).Draw(t, "causes")
	c := kb.Closing{Causes: causes, Confidence: rapid.SampledFrom([]float64{1, 0.5, 0.25}).Draw(t, "confidence"), FixMinutes: minutes}
	if !wholeOnly {
		c.OneOf = len(causes) > 1 && rapid.Bool().Draw(t, "one of")
		c.Confidence = rapid.SampledFrom([]float64{1, 0.8, 0.3}).Draw(t, "sure")
		c.At = anyDay(t)
	}
	c.Fixes = rapid.SampledFrom([][]string{nil, nil, {"replace-nozzle"}, {"clean-eye", "gone"}}).Draw(t, "fixes")
	c.Used = rapid.SampledFrom([]map[string]float64{nil, {}, {"nozzle-085": 2}}).Draw(t, "used")
	return &c
}

// TestCatchUpIsRecount: whatever is appended in whatever order of time, taken in
// portion by portion, by one run of the program or several, in stretches or at
// once: what is kept is what counting all jobs anew gives. Nothing is counted
// anew on the way.
func TestCatchUpIsRecount(t *testing.T) {
	fewer(t)
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		s := openBase(t, filepath.Join(dir, fmt.Sprint(n)), "testdata/base")
		defer func() { s.Close() }()
		if _, err := s.current(); err != nil {
			rt.Fatal(err)
		}
		var events []journal.Event
		for range rapid.IntRange(1, 8).Draw(rt, "portions") {
			var portion []journal.Event
			for range rapid.IntRange(1, 8).Draw(rt, "events") {
				portion = append(portion, anyEvent(rt, len(events), events, false))
				events = append(events, portion[len(portion)-1])
			}
			if _, err := s.journal.Append(portion...); err != nil {
				rt.Fatal(err)
			}
			before := s.derived
			if err := s.catchUpBy(before, uint64(rapid.IntRange(1, 10).Draw(rt, "stretch"))); err != nil {
				rt.Fatal(err)
			}
			ended := rapid.Bool().Draw(rt, "end of the program")
			if ended {
				s = again(t, s)
			}
			kept, err := s.current()
			if err != nil {
				rt.Fatal(err)
			}
			if ended && kept.Counts == nil || !ended && kept != before {
				rt.Fatal("it was counted anew")
			}
			compareNear(rt, s, kept)
		}
	})
}

// TestCatchUpIsRecountToTheBit: where all weights and their sums are exact, the
// bytes that are kept are the same.
func TestCatchUpIsRecountToTheBit(t *testing.T) {
	fewer(t)
	dir, n := t.TempDir(), 0
	base := filepath.Join(dir, "base")
	text, err := os.ReadFile("testdata/base/small.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(base, 0o755); err != nil {
		t.Fatal(err)
	}
	text = append(text, "\nsettings: {half_life_years: 0}\n"...)
	if err := os.WriteFile(filepath.Join(base, "small.yaml"), text, 0o644); err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		n++
		s := openBase(t, filepath.Join(dir, fmt.Sprint(n)), base)
		defer s.Close()
		var events []journal.Event
		for range rapid.IntRange(1, 6).Draw(rt, "portions") {
			for range rapid.IntRange(1, 10).Draw(rt, "events") {
				e := anyEvent(rt, len(events), events, true)
				events = append(events, e)
				if _, err := s.journal.Append(e); err != nil {
					rt.Fatal(err)
				}
			}
			kept, err := s.current()
			if err != nil {
				rt.Fatal(err)
			}
			if diff := cmp.Diff(countsOf(t, s), marshalled(t, kept)); diff != "" {
				rt.Fatalf("counted anew and step by step differ:\n%s", diff)
			}
		}
	})
}

// fewer makes a round of a few histories under -short: each of them writes to
// the disk many times.
func fewer(t *testing.T) {
	t.Helper()
	checks := flag.Lookup("rapid.checks")
	if !testing.Short() || checks == nil {
		return
	}
	was := checks.Value.String()
	if err := checks.Value.Set("10"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = checks.Value.Set(was) })
}

// openBase opens a new store with a base, at testNow.
func openBase(t testing.TB, dir, base string) *Shop {
	t.Helper()
	s, err := Open(Config{Store: dir, Base: base, By: "ann", Write: true, Now: func() time.Time { return testNow }, Notice: func(string) {}})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// again ends the program and starts it again.
func again(t testing.TB, s *Shop) *Shop {
	t.Helper()
	cfg := s.cfg
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := Open(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// compareNear compares what is kept with all jobs counted anew: whole numbers
// and names exactly, weights to 1e-12.
func compareNear(t *rapid.T, s *Shop, kept *derived) {
	fresh, err := s.recount()
	if err != nil {
		t.Fatal(err)
	}
	got, want := kept.numbers(), fresh.numbers()
	names := maps.Clone(got)
	maps.Copy(names, want)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		g, gThere := got[name]
		w, wThere := want[name]
		if gThere != wThere || strings.HasSuffix(name, ", jobs") && g != w || math.Abs(g-w) > 1e-12*max(1, math.Abs(w)) {
			t.Fatalf("%s is kept as %v (%v), and counted anew it is %v (%v)", name, g, gThere, w, wThere)
		}
	}
	if kept.Seq != fresh.Seq || kept.Last != fresh.Last {
		t.Fatalf("kept up to event %d %s, the journal ends at %d %s", kept.Seq, kept.Last, fresh.Seq, fresh.Last)
	}
	// Nothing else is kept than what numbers lists.
	if a, b := shape(t, kept), shape(t, fresh); a != b {
		t.Fatalf("kept %s\nanew %s", a, b)
	}
}

// shape is the JSON of counts with every number that is not whole left out.
func shape(t *rapid.T, d *derived) string {
	text, err := json.Marshal(d.counts)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	text, err = json.Marshal(withoutFractions(v))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func withoutFractions(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			if f, ok := x.(float64); ok && k != "n" && k != "version" {
				v[k] = f > 0
				continue
			}
			v[k] = withoutFractions(x)
		}
	case []any:
		for i := range v {
			v[i] = withoutFractions(v[i])
		}
	case float64:
		return v > 0
	}
	return v
}
