package shop

import (
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// closedJob opens and closes a job.
func closedJob(t testing.TB, s *Shop, c kb.Closing) kb.Job {
	t.Helper()
	j, err := s.OpenJob(Complaint{Words: "locks out", Family: "oil-furnace", Symptoms: []kb.Finding{{Kind: kb.KindSymptom, ID: "locks-out", Outcome: kb.Yes}}})
	if err != nil {
		t.Fatal(err)
	}
	if j, err = s.CloseJob(j, c); err != nil {
		t.Fatal(err)
	}
	return j
}

// TestCorrectClosing: the corrected closing stands where the old one stood, the
// old one leaves no trace in what was learned, and nothing failed.
func TestCorrectClosing(t *testing.T) {
	wrong := kb.Closing{Causes: []string{"nozzle-plugged"}, Confidence: 0.6, Minutes: 50, Note: "looked worn"}
	right := kb.Closing{Causes: []string{"tank-water", "eye-sooted"}, OneOf: true, Confidence: 1, Fixes: []string{"clean-eye"}, FixMinutes: 20, Used: map[string]float64{}}
	s, _ := openSmall(t, t.TempDir())
	j := closedJob(t, s, wrong)
	if _, err := s.current(); err != nil {
		t.Fatal(err)
	}
	now, err := s.CorrectClosing(j, right)
	if err != nil {
		t.Fatal(err)
	}
	want := right
	want.At, want.By = j.Closing.At, "ann"
	if diff := cmp.Diff(&want, now.Closing); diff != "" || len(now.Past) > 0 {
		t.Errorf("the closing (-want +got):\n%s\npast: %v", diff, now.Past)
	}
	other, _ := openSmall(t, t.TempDir())
	closedJob(t, other, right)
	if diff := cmp.Diff(countsText(t, other), countsText(t, s)); diff != "" {
		t.Errorf("what was learned is not what the right closing alone teaches:\n%s", diff)
	}
	if d, err := s.current(); err != nil || d.moves != 1 {
		t.Errorf("%d jobs were moved, %v; want the one", d.moves, err)
	}

	// And back.
	if now, err = s.CorrectClosing(now, *j.Closing); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(j, now, cmpopts.IgnoreFields(kb.Act{}, "Event")); diff != "" {
		t.Errorf("corrected back (-before +now):\n%s", diff)
	}

	open, err := s.OpenJob(Complaint{Words: "no heat", Family: "oil-furnace"})
	if err != nil {
		t.Fatal(err)
	}
	for what, try := range map[string]func() error{
		"job 2 is open; close it with": func() error { _, err := s.CorrectClosing(open, right); return err },
		"before it was opened": func() error {
			c := right
			c.At = j.Opened.Add(-time.Hour)
			_, err := s.CorrectClosing(now, c)
			return err
		},
		"still to come": func() error {
			c := right
			c.At = testNow.Add(time.Hour)
			_, err := s.CorrectClosing(now, c)
			return err
		},
		"name the causes": func() error { _, err := s.CorrectClosing(now, kb.Closing{Confidence: 1}); return err },
	} {
		if err := try(); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("got %v, want an error with %q", err, what)
		}
	}
}

// TestCorrectBookedParts: pieces that were booked on the job are part of what a
// closing says was used, and are not counted twice when it is corrected.
func TestCorrectBookedParts(t *testing.T) {
	for _, test := range []struct {
		name   string
		stated map[string]float64
		now    map[string]float64 // what the correction says
		wrong  string
	}{
		{"the same", map[string]float64{"absorbent": 1}, map[string]float64{"absorbent": 1, "nozzle-085": 2}, ""},
		{"one more of what was booked", nil, map[string]float64{"nozzle-085": 3}, ""},
		{"what was booked only", map[string]float64{"absorbent": 1}, map[string]float64{"nozzle-085": 2}, ""},
		{"fewer than were booked", nil, map[string]float64{"nozzle-085": 1}, "2 pieces of nozzle-085 are booked on it, more than the 1 that were used"},
		{"none of them", nil, map[string]float64{}, "2 pieces of nozzle-085 are booked"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, _ := openSmall(t, t.TempDir())
			j := closedJob(t, s, kb.Closing{Causes: []string{"nozzle-plugged"}, Confidence: 1, Used: test.stated})
			e := s.journal.NewEvent(journal.KindPartUsed, j.ID, "ann")
			e.Part, e.Qty = "nozzle-085", new(2.0)
			if _, err := s.journal.Append(e); err != nil {
				t.Fatal(err)
			}
			j, err := s.Job(j.ID)
			if err != nil || j.Closing.Used["nozzle-085"] != 2 {
				t.Fatalf("booked: %v, %v", j.Closing.Used, err)
			}
			c := *j.Closing
			c.Used = test.now
			c.Note = "put right"
			j, err = s.CorrectClosing(j, c)
			if test.wrong != "" {
				if err == nil || !strings.Contains(err.Error(), test.wrong) {
					t.Errorf("got %v, want %q", err, test.wrong)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if !maps.Equal(j.Closing.Used, test.now) {
				t.Errorf("used %v, want %v", j.Closing.Used, test.now)
			}
			// Nothing but the note changes when the closing as it is read is given
			// back with another one.
			again := *j.Closing
			again.Note = "again"
			if j, err = s.CorrectClosing(j, again); err != nil || !maps.Equal(j.Closing.Used, test.now) {
				t.Errorf("corrected again: %v, %v; want %v", j.Closing.Used, err, test.now)
			}
		})
	}
}

// TestClockWasSetBack: what is done to a job takes effect although what was
// recorded before bears a later time.
func TestClockWasSetBack(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	opened := s.journal.NewEvent(journal.KindJobOpened, "1", "ann")
	opened.Family = "oil-furnace"
	closed := opened
	closed.ID, closed.At = journal.NewEventID(testNow.Add(48*time.Hour)), testNow.Add(48*time.Hour)
	closed.Kind, closed.Family = journal.KindJobClosed, ""
	closed.Closing = &kb.Closing{At: testNow, Causes: []string{"nozzle-plugged"}, Confidence: 1}
	if _, err := s.journal.Append(opened, closed); err != nil {
		t.Fatal(err)
	}
	j, err := s.Job("1")
	if err != nil {
		t.Fatal(err)
	}
	c := *j.Closing
	c.Causes = []string{"tank-water"}
	if j, err = s.CorrectClosing(j, c); err != nil || j.Closing.Causes[0] != "tank-water" {
		t.Errorf("it reads %v, %v", j.Closing.Causes, err)
	}
	if j, err = s.Reopen(j, "again"); err != nil || j.Closed() || len(j.Past) != 1 {
		t.Fatalf("reopened: closed %v, %d past closings, %v", j.Closed(), len(j.Past), err)
	}
	found := kb.Finding{Kind: kb.KindCheck, ID: "tank-bottom", Outcome: "water"}
	if j, err = s.Record(j, found, found); err != nil || len(j.Acts) != 2 {
		t.Fatalf("recorded: %d acts, %v", len(j.Acts), err)
	}
	if j, err = s.CloseJob(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil || !j.Closed() || j.Closing.At.Before(j.Acts[1].At) {
		t.Errorf("closed: %+v, %v", j.Closing, err)
	}
}

// TestClosedAt: a day stands for its noon, within the time of the job.
func TestClosedAt(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	afternoon := kb.Job{Opened: time.Date(2025, 2, 20, 15, 0, 0, 0, time.UTC)}
	for text, want := range map[string]time.Time{
		"2025-02-21":           time.Date(2025, 2, 21, 12, 0, 0, 0, time.UTC),
		"2025-02-20":           afternoon.Opened,
		"2025-03-01":           testNow, // eight in the morning
		"2025-02-21T09:30:00Z": time.Date(2025, 2, 21, 9, 30, 0, 0, time.UTC),
	} {
		if got, err := s.ClosedAt(&afternoon, text); err != nil || !got.Equal(want) {
			t.Errorf("%s is %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "yesterday", "2025-02-30", "21/2/2025"} {
		if got, err := s.ClosedAt(&afternoon, text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}

// TestReopenings: when a job came back is kept with the reason.
func TestReopenings(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	j := closedJob(t, s, kb.Closing{Causes: []string{"nozzle-plugged"}, Confidence: 1})
	if list, err := s.Reopenings(j.ID); len(list) > 0 || err != nil {
		t.Errorf("%v, %v; want none", list, err)
	}
	if _, err := s.Reopen(j, "clicks again"); err != nil {
		t.Fatal(err)
	}
	list, err := s.Reopenings(j.ID)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]Reopening{{At: testNow, By: "ann", Reason: "clicks again"}}, list); diff != "" {
		t.Error(diff)
	}
}

// TestOtherFixes: what the causes' fixes are need not be said.
func TestOtherFixes(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	for _, test := range []struct{ causes, done, want []string }{
		{[]string{"nozzle-plugged"}, nil, nil},
		{[]string{"nozzle-plugged"}, []string{"replace-nozzle"}, nil},
		{[]string{"tank-water", "nozzle-plugged"}, []string{"replace-nozzle", "remove-water"}, nil},
		{[]string{"tank-water", "nozzle-plugged"}, []string{"replace-nozzle"}, []string{"replace-nozzle"}},
		{[]string{"nozzle-plugged"}, []string{"clean-eye"}, []string{"clean-eye"}},
		{[]string{kb.Unlisted}, []string{"clean-eye"}, []string{"clean-eye"}},
	} {
		if got := OtherFixes(s.base, test.causes, test.done); !cmp.Equal(got, test.want) {
			t.Errorf("causes %v, done %v: %v, want %v", test.causes, test.done, got, test.want)
		}
	}
}
