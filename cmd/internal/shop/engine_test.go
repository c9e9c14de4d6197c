package shop

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

// answer is what an engine says to a complaint.
func answer(t testing.TB, e *ranker.Engine) ranker.Ranking {
	t.Helper()
	b, err := e.Believe([]kb.Act{{Finding: &kb.Finding{Kind: kb.KindSymptom, ID: "locks-out", Outcome: kb.Yes}}})
	if err != nil {
		t.Fatal(err)
	}
	return b.Rank(ranker.Options{})
}

func engineOf(t testing.TB, s *Shop, model string) *ranker.Engine {
	t.Helper()
	e, err := s.Engine("oil-furnace", model, false)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// TestEngineFollows: the engine is kept while nothing was learned, and after
// each closing, reopening, correction and callback it is what one made anew
// from all jobs would be.
func TestEngineFollows(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	if kept := engineOf(t, s, ""); kept != engineOf(t, s, "") {
		t.Error("it is made again although nothing happened")
	}
	check := func(what string) {
		t.Helper()
		d, err := s.recount()
		if err != nil {
			t.Fatal(err)
		}
		m, err := d.counts.Model(s.base, "oil-furnace", "", s.today())
		if err != nil {
			t.Fatal(err)
		}
		near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(a)) })
		if diff := cmp.Diff(answer(t, ranker.New(m)), answer(t, engineOf(t, s, "")), near, cmpopts.IgnoreUnexported(ranker.CheckRank{})); diff != "" {
			t.Errorf("after %s (-anew +kept):\n%s", what, diff)
		}
	}
	before := engineOf(t, s, "")
	j := closedJob(t, s, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1, FixMinutes: 90})
	if engineOf(t, s, "") == before {
		t.Error("a closing taught nothing")
	}
	check("a closing")
	var err error
	if j, err = s.CorrectClosing(j, kb.Closing{Causes: []string{"eye-sooted"}, Confidence: 0.5}); err != nil {
		t.Fatal(err)
	}
	check("a correction")
	if j, err = s.Reopen(j, ""); err != nil {
		t.Fatal(err)
	}
	check("a reopening")
	if j, err = s.CloseJob(j, kb.Closing{Causes: []string{"nozzle-plugged"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	if _, err = s.OpenJob(Complaint{Words: "again", Family: "oil-furnace", CallbackOf: j.ID}); err != nil {
		t.Fatal(err)
	}
	check("a callback")
	authored, err := s.Engine("oil-furnace", "", true)
	if err != nil {
		t.Fatal(err)
	}
	m, err := kb.NewModel(s.base, "oil-furnace")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(answer(t, ranker.New(m)).Causes, answer(t, authored).Causes); diff != "" {
		t.Errorf("as authored:\n%s", diff)
	}
}

// TestEngineOfModel: a model that jobs were closed on is ranked by them, one that
// nobody met as its family.
func TestEngineOfModel(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	for range 6 {
		for model, cause := range map[string]string{"m1": "tank-water", "m2": "eye-sooted"} {
			j, err := s.OpenJob(Complaint{Words: "no heat", Family: "oil-furnace", Model: model})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := s.CloseJob(j, kb.Closing{Causes: []string{cause}, Confidence: 1}); err != nil {
				t.Fatal(err)
			}
		}
	}
	chance := func(model, cause string) float64 {
		for _, c := range answer(t, engineOf(t, s, model)).Causes {
			if c.ID == cause {
				return c.Probability
			}
		}
		return 0
	}
	if m1, all, m2 := chance("m1", "tank-water"), chance("", "tank-water"), chance("m2", "tank-water"); !(m1 > all && all > m2) {
		t.Errorf("water in the tank: %.3f on m1, %.3f in the family, %.3f on m2; want it likeliest on m1", m1, all, m2)
	}
	if engineOf(t, s, "m9") != engineOf(t, s, "") {
		t.Error("an unknown model is not ranked as its family")
	}
	models, err := s.Models("oil-furnace")
	if err != nil || len(models) != 2 || models[0].Causes != 6 || models[0].Model != "m1" {
		t.Errorf("models %+v, %v", models, err)
	}
	if m, err := s.ModelSeen("gas-furnace", "m1"); m.Causes != 0 || err != nil {
		t.Errorf("%+v, %v; want nothing in the other family", m, err)
	}
	// A job on the model is believed by it, and priors shown agree with ranking.
	j, err := s.OpenJob(Complaint{Words: "no heat", Family: "oil-furnace", Model: "m1"})
	if err != nil {
		t.Fatal(err)
	}
	belief, err := s.Believe(&j)
	if err != nil {
		t.Fatal(err)
	}
	priors, err := s.Priors("oil-furnace", "m1")
	if err != nil {
		t.Fatal(err)
	}
	shares := make(map[string]float64)
	var unlisted float64
	for _, p := range priors {
		if shares[p.ID] = p.Now; p.ID == kb.Unlisted {
			unlisted = p.Now
		}
	}
	r := belief.Rank(ranker.Options{})
	if math.Abs(r.Unlisted-unlisted) > 1e-12 {
		t.Errorf("unlisted: ranked %v, shown %v", r.Unlisted, unlisted)
	}
	likeliest := func(p []learn.Prior) string { return p[0].ID }
	if r.Causes[0].ID != likeliest(priors) {
		t.Errorf("ranked first %s, shown first %s", r.Causes[0].ID, likeliest(priors))
	}
}

// TestDayTurns: jobs are weighed at the beginning of the day, so that numbers
// stand still for a day, and move on with the next also in a program that runs
// on.
func TestDayTurns(t *testing.T) {
	now := testNow
	s, err := Open(Config{Store: t.TempDir(), Base: "testdata/base", By: "ann", Write: true, Now: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	importText(t, s, header+"1,2020-02-20,2020-02-20,oil-furnace,,,,,,,eye-sooted,1,,,\n")
	share := func() float64 {
		p, err := s.Priors("oil-furnace", "")
		if err != nil {
			t.Fatal(err)
		}
		return p[0].Now
	}
	first, engine := share(), engineOf(t, s, "")
	now = time.Date(2025, time.March, 1, 23, 59, 59, 0, time.UTC)
	if share() != first || engineOf(t, s, "") != engine {
		t.Error("the numbers creep within a day")
	}
	now = now.Add(time.Second)
	if share() == first || engineOf(t, s, "") == engine {
		t.Error("the numbers stand still on the next day")
	}
}

// TestSkipped: what the base does not know is counted by name, and leaves again
// with the job that named it.
func TestSkipped(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	j := closedJob(t, s, kb.Closing{Causes: []string{"gone"}, Confidence: 1})
	skipped, err := s.Skipped()
	if err != nil || skipped["cause/gone"] != 1 {
		t.Errorf("%v, %v; want the cause", skipped, err)
	}
	skipped["cause/gone"] = 7 // a copy
	if _, err := s.CorrectClosing(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	if skipped, err = s.Skipped(); err != nil || len(skipped) > 0 {
		t.Errorf("%v, %v; want nothing", skipped, err)
	}
}
