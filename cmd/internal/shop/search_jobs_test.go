package shop

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/index"
	"sootsayer/kb"
)

// TestFindJobs follows a job through its life: it is found, by all that was said
// of it, while it stands closed.
func TestFindJobs(t *testing.T) {
	s := nestShop(t)
	j := closedAs(t, s, "rattles like a can", "loose baffle", kb.Closing{Causes: []string{"motor-dead"}, Confidence: 0.9})
	want := func(words, ids string) {
		t.Helper()
		if got := jobsWith(t, s, words); got != ids {
			t.Errorf("%q: found %q, want %q", words, got, ids)
		}
	}
	want("rattles", j.ID)
	want("baffle", j.ID)
	j, err := s.Reopen(j, "screeches now")
	if err != nil {
		t.Fatal(err)
	}
	want("rattles", "")
	if j, err = s.CloseJob(j, kb.Closing{Causes: []string{"fan-nest"}, Confidence: 1, Note: "feathers"}); err != nil {
		t.Fatal(err)
	}
	for _, words := range []string{"rattles", "screeches", "baffle", "feathers", "fan-nest"} {
		want(words, j.ID)
	}
	if j, err = s.CorrectClosing(j, kb.Closing{Causes: []string{"fan-nest"}, Confidence: 1, Note: "straw"}); err != nil {
		t.Fatal(err)
	}
	want("feathers", "")
	want("straw", j.ID)
	if s.AnyClosed() != true {
		t.Error("no job is said to be closed")
	}
}

// TestPastJob is what is searched of a job that was opened again.
func TestPastJob(t *testing.T) {
	s := nestShop(t)
	j, err := s.OpenJob(Complaint{Words: "rattles", Family: "shop-heater", Model: "HX 200", Appliance: "bay-3"})
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range []kb.Closing{
		{Causes: []string{"motor-dead"}, Confidence: 1, Note: "baffle"},
		{Causes: []string{"fan-nest", "motor-dead"}, OneOf: true, Confidence: 0.5, Note: "straw"},
	} {
		if i > 0 {
			if j, err = s.Reopen(j, "screeches"); err != nil {
				t.Fatal(err)
			}
		}
		if j, err = s.CloseJob(j, c); err != nil {
			t.Fatal(err)
		}
	}
	got, ok, err := jobSource{s}.Closed(j.ID)
	want := index.PastJob{ID: j.ID, Family: "shop-heater", Model: "HX 200", Appliance: "bay-3", Closed: j.Closing.At, Causes: []string{"fan-nest", "motor-dead"},
		OneOf: true, Confidence: 0.5, Complaint: "rattles", Reasons: []string{"screeches"}, Notes: []string{"baffle", "straw"}}
	if d := cmp.Diff(want, got); d != "" || !ok || err != nil {
		t.Errorf("%v, %v\n%s", ok, err, d)
	}
	if _, ok, err := (jobSource{s}).Closed("no such job"); ok || err != nil {
		t.Errorf("of a job that is not there: %v, %v", ok, err)
	}
}

// TestFindJobsWithoutStore asks a shop that has recorded nothing.
func TestFindJobsWithoutStore(t *testing.T) {
	s, err := Open(Config{Store: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	x, err := s.Index()
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	if hits, err := s.FindJobs(context.Background(), x, index.Query{Text: "no heat"}, nil); err != nil || hits != nil || s.AnyClosed() {
		t.Errorf("%v, %v", hits, err)
	}
	if u := unlisted(t, s, ""); len(u.Groups)+len(u.Left) != 0 {
		t.Errorf("%+v", u)
	}
	if list, err := s.Phrases("", ""); err != nil || list != nil {
		t.Errorf("%v, %v", list, err)
	}
}
