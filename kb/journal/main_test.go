package journal

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"go.uber.org/goleak"

	"sootsayer/kb"
)

// childVar makes the test binary another process that uses a store; its value
// is what to do, see child.
const (
	childVar = "SOOTSAYER_JOURNAL_CHILD"
	dirVar   = "SOOTSAYER_JOURNAL_DIR"
)

func TestMain(m *testing.M) {
	if what := os.Getenv(childVar); what != "" {
		if err := child(what, os.Getenv(dirVar)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	goleak.VerifyTestMain(m)
}

// monday is when the invented shop of these tests opens.
var monday = time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)

// at is a number of minutes after monday.
func at(minute int) time.Time { return monday.Add(time.Duration(minute) * time.Minute) }

// event returns an event of the given minute; n makes its id and orders events
// of the same minute.
func event(n, minute int, kind Kind, job string) Event {
	return Event{ID: id(n, minute), At: at(minute), By: "kim", Kind: kind, Job: job, V: EventVersion}
}

func id(n, minute int) string { return EventIDFor(at(minute), "test", uint16(n)) }

func opened(n, minute int, job, family string) Event {
	e := event(n, minute, KindJobOpened, job)
	e.Family, e.Complaint = family, "no heat"
	return e
}

func found1(n, minute int, job, check, outcome string) Event {
	e := event(n, minute, KindFindingRecorded, job)
	e.Finding = &kb.Finding{Kind: kb.KindCheck, ID: check, Outcome: outcome}
	return e
}

func reading(n, minute int, job, check string, value float64) Event {
	e := event(n, minute, KindFindingRecorded, job)
	e.Finding = &kb.Finding{Kind: kb.KindCheck, ID: check, Reading: &value, Minutes: 4}
	return e
}

func withdrawn(n, minute int, job, of string) Event {
	e := event(n, minute, KindFindingWithdrawn, job)
	e.Of = of
	return e
}

func tried(n, minute int, job, fix string) Event {
	e := event(n, minute, KindFixTried, job)
	e.Fix = fix
	return e
}

func state(n, minute int, job, id, value string) Event {
	e := event(n, minute, KindStateChanged, job)
	e.State = map[string]string{id: value}
	return e
}

func closed(n, minute int, job string, used map[string]float64, causes ...string) Event {
	e := event(n, minute, KindJobClosed, job)
	e.Closing = &kb.Closing{Causes: causes, Confidence: 0.9, Used: used}
	return e
}

func reopened(n, minute int, job string) Event {
	e := event(n, minute, KindJobReopened, job)
	e.Reason = "came back"
	return e
}

func part(n, minute int, kind Kind, job, part string, qty float64) Event {
	e := event(n, minute, kind, job)
	e.Part, e.Qty, e.Place = part, &qty, "truck"
	return e
}

func moved(n, minute int, name string, qty float64, from, to string) Event {
	e := part(n, minute, KindPartMoved, "", name, qty)
	e.Place, e.To = from, to
	return e
}

func phrase(n, minute int, words, symptom string, takenBack bool) Event {
	e := event(n, minute, KindPhraseChosen, "")
	e.Family, e.Phrase, e.Symptom, e.Withdrawn = "oil-furnace", words, symptom, takenBack
	return e
}

// oneOfEach returns a valid event of every kind.
func oneOfEach() []Event {
	appliance := event(12, 12, KindApplianceAdded, "")
	appliance.Appliance, appliance.Family, appliance.Installed, appliance.Site = "unit-7", "oil-furnace", 2011, "north shed"
	change := event(13, 13, KindBaseChanged, "")
	change.Change = []byte(`{"id":"draft","list":"checks","minutes":4.50}`)
	return []Event{
		opened(1, 1, "1", "oil-furnace"),
		reading(2, 2, "1", "flame-eye-resistance", 1650),
		withdrawn(3, 3, "1", id(2, 2)),
		state(4, 4, "1", "power", "off"),
		tried(5, 5, "1", "replace-nozzle"),
		closed(6, 6, "1", map[string]float64{"nozzle": 1}, "nozzle-plugged"),
		reopened(7, 7, "1"),
		phrase(8, 8, "Red light  comes on", "locks-out-on-start", false),
		part(9, 9, KindPartUsed, "1", "nozzle", 2),
		part(10, 10, KindPartCounted, "", "nozzle", 0),
		part(11, 11, KindPartReceived, "", "nozzle", 12),
		appliance,
		change,
		part(14, 14, KindPartOrdered, "", "nozzle", 12),
		moved(15, 15, "nozzle", 2, "shelf", "truck"),
	}
}

// quick are options for a test that opens stores by itself.
var quick = Options{noSync: true, Timeout: -1}

// openTest opens a store that need not survive a power cut and closes it when
// the test ends.
func openTest(t testing.TB, dir string, opt Options) *Store {
	t.Helper()
	opt.noSync = true
	s, err := Open(dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func mustAppend(t testing.TB, s *Store, events ...Event) {
	t.Helper()
	if _, err := s.Append(events...); err != nil {
		t.Fatal(err)
	}
}

func mustVerify(t testing.TB, s *Store) Report {
	t.Helper()
	r, err := s.Verify(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// wantSound fails the test when Verify finds anything.
func wantSound(t testing.TB, s *Store) {
	t.Helper()
	if r := mustVerify(t, s); !r.OK() {
		t.Fatalf("Verify found %v", r.Troubles)
	}
}

func wantEqual[T any](t testing.TB, what string, got, want T) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Fatalf("%s (-want +got):\n%s", what, diff)
	}
}

// contents is everything that a store gives out but arrival numbers.
type contents struct {
	Jobs    []kb.Job
	Phrases []Phrase
	Events  map[string]Event
	Loose   []Event
}

func contentsOf(t testing.TB, s *Store) contents {
	t.Helper()
	c := contents{Events: make(map[string]Event)}
	for j, err := range s.Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		c.Jobs = append(c.Jobs, j)
	}
	for e, err := range s.EventsSince(0) {
		if err != nil {
			t.Fatal(err)
		}
		c.Events[e.ID] = e.Event
	}
	var err error
	if c.Phrases, err = s.Phrases(); err != nil {
		t.Fatal(err)
	}
	if c.Loose, err = s.UnbookedParts(); err != nil {
		t.Fatal(err)
	}
	return c
}

func copyFile(t testing.TB, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, b, 0o600); err != nil {
		t.Fatal(err)
	}
}
