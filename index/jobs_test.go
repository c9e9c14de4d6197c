package index

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// pastJobs are a few jobs of an invented shop.
func pastJobs() *fakeJobs {
	s := newFakeJobs("shop")
	for _, j := range []PastJob{
		{ID: "1", Complaint: "no heat, burner hums", Causes: []string{"nozzle-plugged"}, Notes: []string{"sludge in the tip"}},
		{ID: "2", Complaint: "stone cold this morning", Causes: []string{"unlisted"}, Notes: []string{"mouse nest in the fan housing"}, Appliance: "bay-3"},
		{ID: "3", Complaint: "reeks of fuel", Causes: []string{"eye-dirty", "nozzle-plugged"}, Family: "house-furnace", Model: "HX 200"},
		{ID: "4", Complaint: "red lamp blinks", Reasons: []string{"lamp blinks again after a week"}, Causes: []string{"eye-dirty"}, Notes: []string{"", "photocell was loose"}},
		{ID: "5", Complaint: "no heat, burner hmus", Causes: []string{"eye-dirty"}, Family: "house-furnace"},
		{ID: "6", Complaint: "heat but no air", Causes: []string{"gone-cause"}},
	} {
		s.open(j.ID)
		s.close(j)
	}
	s.open("7")
	return s
}

// jobsFound searches and lists the ids of what is found.
func jobsFound(t testing.TB, x *JobIndex, q Query) string {
	t.Helper()
	hits, err := x.Search(context.Background(), q)
	if err != nil {
		t.Fatalf("Search(%+v): %v", q, err)
	}
	var ids []string
	for _, h := range hits {
		if h.Kind != KindJob || h.Job == nil || h.Job.ID != h.ID || h.Score <= 0 {
			t.Errorf("Search(%+v): odd hit %+v", q, h)
		}
		ids = append(ids, h.ID)
	}
	return strings.Join(ids, " ")
}

func TestJobSearch(t *testing.T) {
	x := openJobs(t, t.TempDir(), pastJobs(), JobOptions{})
	if x.Len() != 6 {
		t.Errorf("%d jobs, want the 6 closed ones", x.Len())
	}
	for _, c := range []struct {
		name string
		q    Query
		want string
	}{
		{"complaint", Query{Text: "red lamp"}, "4"},
		{"note", Query{Text: "mouse nest"}, "2"},
		{"another form of a word", Query{Text: "mice nests"}, "2"},
		{"reason it was opened again", Query{Text: "after a week"}, "4"},
		{"cause by name", Query{Text: "nozzle plugged"}, "1 3"},
		{"cause by id", Query{Text: "nozzle-plugged"}, "1 3"},
		{"cause that is gone from the base", Query{Text: "gone-cause"}, "6"},
		{"appliance", Query{Text: "bay-3"}, "2"},
		{"model", Query{Text: "hx"}, "3"},
		{"synonym of the base", Query{Text: "cad cell"}, "4 5 3"},
		{"everyday synonym", Query{Text: "fuel odor"}, "3"},
		{"mistyped in the job", Query{Text: "hums"}, "1 5"},
		{"mistyped in the question", Query{Text: "slugde"}, "1"},
		{"negated before plain", Query{Text: "no heat"}, "5 1 6"},
		{"family", Query{Text: "no heat", Family: "house-furnace"}, "5"},
		{"limit", Query{Text: "no heat", Limit: 1}, "5"},
		{"no limit", Query{Text: "no heat", Limit: -1}, "5 1 6"},
		{"open job", Query{Text: "7"}, ""},
		{"nothing", Query{Text: "zyzzyva"}, ""},
		{"no words", Query{Text: " the "}, ""},
		{"unknown family", Query{Text: "no heat", Family: "boat"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := jobsFound(t, x, c.q); got != c.want {
				t.Errorf("found %q, want %q", got, c.want)
			}
		})
	}
}

func TestJobHit(t *testing.T) {
	s := pastJobs()
	x := openJobs(t, t.TempDir(), s, JobOptions{})
	hits, err := x.Search(context.Background(), Query{Text: "loose photocell blinks"})
	if err != nil || len(hits) == 0 {
		t.Fatal(hits, err)
	}
	job := s.closed["4"]
	want := Hit{Kind: KindJob, ID: "4", Name: "Flame eye dirty", Score: hits[0].Score, Job: &job, Fragments: []Fragment{
		{Field: "note", Text: "photocell was loose", Spans: [][2]int{{0, 9}, {14, 19}}},
		{Field: "complaint", Text: "red lamp blinks", Spans: [][2]int{{9, 15}}},
		{Field: "reason", Text: "lamp blinks again after a week", Spans: [][2]int{{5, 11}}},
	}}
	if d := cmp.Diff(want, hits[0]); d != "" {
		t.Error(d)
	}
}

// TestJobTies wants the newest first among many jobs that say the same, and
// numbers in their order among those closed at once.
func TestJobTies(t *testing.T) {
	s := newFakeJobs("ties")
	for i := range 300 {
		s.close(PastJob{ID: fmt.Sprint(i + 1), Complaint: "fan squeals", Closed: opening.AddDate(0, 0, i/3)})
	}
	x := openJobs(t, t.TempDir(), s, JobOptions{})
	if got, want := jobsFound(t, x, Query{Text: "fan squeals", Limit: 5}), "298 299 300 295 296"; got != want {
		t.Errorf("found %s, want %s", got, want)
	}
}

func TestJobsClosed(t *testing.T) {
	b := testBase()
	base := openMemory(t, b, Options{})
	x, err := base.OpenJobs(t.TempDir(), b, pastJobs(), JobOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := x.Search(cancelled(), Query{Text: "no heat"}); err != context.Canceled {
		t.Errorf("error %v, want that of the context", err)
	}
	for range 2 {
		if err := x.Close(); err != nil {
			t.Error(err)
		}
	}
	if _, err := x.Search(context.Background(), Query{Text: "no heat"}); err != ErrClosed {
		t.Errorf("error %v, want ErrClosed", err)
	}
}

func cancelled() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	return ctx
}

// TestJobsNone searches where no job is closed yet.
func TestJobsNone(t *testing.T) {
	withOpen := newFakeJobs("open")
	withOpen.open("1")
	for _, s := range []*fakeJobs{newFakeJobs("empty"), withOpen} {
		dir := t.TempDir()
		for range 2 {
			x := openJobs(t, dir, s, JobOptions{Log: func(s string) { t.Error(s) }})
			if got := jobsFound(t, x, Query{Text: "no heat"}); got != "" || x.Len() != 0 {
				t.Errorf("found %q among %d jobs", got, x.Len())
			}
		}
		s.close(PastJob{ID: "1", Complaint: "no heat"})
		if got, _ := openJobsIn(t, dir, s, "no heat"); got != "1" {
			t.Errorf("found %q once a job is closed", got)
		}
	}
}

// TestJobSearchLaws holds for every text: hits are closed jobs, each once, by
// falling score, with spans that lie in their texts.
func TestJobSearchLaws(t *testing.T) {
	s := pastJobs()
	x := openJobs(t, t.TempDir(), s, JobOptions{})
	rapid.Check(t, func(t *rapid.T) {
		q := Query{Text: anyText().Draw(t, "text"), Limit: rapid.IntRange(-1, 3).Draw(t, "limit"), Family: rapid.SampledFrom([]string{"", "shop-heater", "boat"}).Draw(t, "family")}
		hits, err := x.Search(context.Background(), q)
		if err != nil {
			t.Fatalf("Search(%+v): %v", q, err)
		}
		seen := map[string]bool{}
		for i, h := range hits {
			if _, closed := s.closed[h.ID]; !closed || seen[h.ID] || i > 0 && h.Score > hits[i-1].Score || q.Family != "" && h.Job.Family != q.Family {
				t.Errorf("Search(%+v): hit %d is %+v", q, i, h)
			}
			seen[h.ID] = true
			for _, f := range h.Fragments {
				for _, span := range f.Spans {
					if span[0] < 0 || span[0] >= span[1] || span[1] > len(f.Text) {
						t.Errorf("Search(%+v): span %v of %q", q, span, f.Text)
					}
				}
			}
		}
		if q.Limit > 0 && len(hits) > q.Limit {
			t.Errorf("Search(%+v): %d hits", q, len(hits))
		}
	})
}
