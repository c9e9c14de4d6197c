package score

import (
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

// plainPoint predicts one case in the plainest way: all that had happened before
// its opening is counted anew, the model compiled anew, and each forecast read
// off it.
func plainPoint(t *rapid.T, b *kb.Base, cases []Case, c *Case) point {
	counts := learn.New(b)
	for _, other := range cases {
		end := later(other.Job.Closing.At, other.Job.Opened)
		switch back := other.Back; {
		case !end.Before(c.Job.Opened):
		case back == nil || back.Opened.After(c.Job.Opened):
			counts.Add(other.Job)
		case !later(back.Closing.At, back.Opened).Before(c.Job.Opened):
			counts.AddCameBack(other.Job, &kb.Job{ID: back.ID, Family: back.Family, Model: back.Model, Opened: back.Opened, Acts: back.Acts})
		default:
			counts.AddCameBack(other.Job, back)
		}
	}
	m, err := counts.Model(b, c.Job.Family, c.Job.Model, c.Job.Opened.UTC().Truncate(24*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	start, err := kb.NewModel(b, c.Job.Family)
	if err != nil {
		t.Fatal(err)
	}
	acts, _ := b.KnownActs(c.Job)
	ends := moments(acts)
	roots, unlisted, _ := counts.Roots(c.Job.Family, c.Job.Closing)
	var truth []int
	for _, id := range roots {
		truth = append(truth, m.CauseIndex(id))
	}
	if unlisted {
		truth = append(truth, len(m.Causes))
	}
	bits := func(m *kb.Model, acts []kb.Act) float64 {
		belief, err := ranker.New(m).Believe(acts)
		if err != nil {
			t.Fatal(err)
		}
		causes, unlisted := belief.RootChances()
		return scoresOf(append(causes, unlisted), truth).LogLoss
	}
	at := func(n int) By[float64] {
		return By[float64]{Learned: bits(m, acts[:n]), Authored: bits(start, acts[:n]), Commonest: bits(m, nil)}
	}
	return point{c.Job, at(ends[0]), at(ends[len(ends)-1])}
}

// TestAgainstPlain compares the pass with each job predicted on its own.
func TestAgainstPlain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := potters()
		b.Settings.HalfLifeYears = rapid.SampledFrom([]float64{0, 0.1, 3}).Draw(t, "half-life")
		cases := drawCases(t, "j", 8)
		r, err := run(b, cases, &Options{})
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for i := range cases {
			at := slices.IndexFunc(r.line, func(p point) bool { return p.job == cases[i].Job })
			if ok := cases[i].Back == nil && !cases[i].Job.Closing.OneOf; ok != (at >= 0) {
				t.Fatalf("job %s is scored: %v; want %v", cases[i].Job.ID, at >= 0, ok)
			}
			if at < 0 {
				continue
			}
			seen++
			got, want := r.line[at], plainPoint(t, b, cases, &cases[i])
			for name, pair := range map[string][2]By[float64]{"complaint": {got.complaint, want.complaint}, "end": {got.end, want.end}} {
				if d := bothBy(pair[0], pair[1], func(x, y float64) float64 { return math.Abs(x - y) }); max(d.Learned, d.Authored, d.Commonest) > 1e-9 {
					t.Fatalf("job %s at the %s: %+v bits, plainly %+v", cases[i].Job.ID, name, pair[0], pair[1])
				}
			}
		}
		if j := r.jobs; j.Scored != seen || j.Scored+j.CameBack+j.OneOf+j.UnknownCause+j.Impossible != j.Closed || j.Closed != len(cases) {
			t.Fatalf("%+v of %d cases, %d of them scored", j, len(cases), seen)
		}
	})
}

// TestOrderDoesNotMatter: cases may come in any order.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := potters()
		cases := drawCases(t, "j", 8)
		first, err := Run(b, cases, Options{})
		if err != nil {
			t.Fatal(err)
		}
		again, err := Run(b, rapid.Permutation(cases).Draw(t, "order"), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(first, again); diff != "" {
			t.Fatalf("another order gives another report:\n%s", diff)
		}
	})
}

// TestLaterJobsChangeNothing: what was said of a job does not depend on jobs
// that were opened after it, whatever they turned out to be.
func TestLaterJobsChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := potters()
		cases := drawCases(t, "j", 6)
		before, err := run(b, cases, &Options{})
		if err != nil {
			t.Fatal(err)
		}
		var last time.Time
		for _, c := range cases {
			last = later(last, c.Job.Opened)
		}
		for _, c := range drawCases(t, "later", 4) {
			move := last.Add(time.Hour).Sub(opening)
			c.Job.Opened, c.Job.Closing.At = c.Job.Opened.Add(move), c.Job.Closing.At.Add(move)
			cases = append(cases, c)
		}
		after, err := run(b, cases, &Options{})
		if err != nil {
			t.Fatal(err)
		}
		n := len(before.line)
		for i, p := range after.line {
			if i < n && (p.job != before.line[i].job || p.complaint != before.line[i].complaint || p.end != before.line[i].end) {
				t.Fatalf("later jobs changed what was said of job %s", before.line[i].job.ID)
			}
			if i >= n && !p.job.Opened.After(last) {
				t.Fatalf("job %s was not scored before", p.job.ID)
			}
		}
	})
}

// TestOnlyEarlierTeach: a job teaches from the moment after its closing on, and
// never itself.
func TestOnlyEarlierTeach(t *testing.T) {
	b := potters()
	clear := saw(kb.KindCheck, "ohms", "open")
	bits := func(cases ...Case) float64 {
		r, err := run(b, cases, &Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r.line[len(r.line)-1].complaint.Learned
	}
	asked := Case{Job: closedJob("asked", "kiln", opening, 2, []string{"coil"}, clear)}
	alone := bits(asked)
	for _, test := range []struct {
		name    string
		other   *kb.Job
		teaches bool
	}{
		{"closed before", closedJob("other", "kiln", opening.Add(-2*time.Hour), 1, []string{"coil"}, clear), true},
		{"closed at the same instant", closedJob("other", "kiln", opening.Add(-2*time.Hour), 2, []string{"coil"}, clear), false},
		{"opened at the same instant", closedJob("a", "kiln", opening, 0, []string{"coil"}, clear), false},
		{"still open then", closedJob("other", "kiln", opening.Add(-time.Hour), 2, []string{"coil"}, clear), false},
		{"closed before it was opened, by its dates", closedJob("other", "kiln", opening, -9, []string{"coil"}, clear), false},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := bits(Case{Job: test.other}, asked)
			if test.teaches != (got < alone) || !test.teaches && got != alone {
				t.Errorf("%v bits, alone %v", got, alone)
			}
		})
	}
}

// TestCallbacksAreUnlearned: a job teaches until it comes back; it is not scored
// itself.
func TestCallbacksAreUnlearned(t *testing.T) {
	b := potters()
	day := 24 * time.Hour
	wrong := closedJob("1", "kiln", opening, 1, []string{"coil"})
	back := closedJob("3", "kiln", opening.Add(5*day), 1, []string{"flue"})
	cases := []Case{{wrong, back}, {Job: closedJob("2", "kiln", opening.Add(day), 1, []string{"coil"})}, {Job: back}}
	r, err := run(b, cases, &Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.jobs.CameBack != 1 || r.jobs.Scored != 2 {
		t.Fatalf("%+v, want one that came back and two scored", r.jobs)
	}
	with, err := run(b, cases[1:], &Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got, without := r.line[0].complaint.Learned, with.line[0].complaint.Learned; !(got < without) {
		t.Errorf("the closing that was to come back had taught nothing by then: %v bits, %v without it", got, without)
	}
	got, without := r.line[1].complaint.Learned, with.line[1].complaint.Learned
	if !(math.Abs(got-without) < 1e-9) {
		t.Errorf("it still teaches when it has come back: %v bits, %v without it", got, without)
	}
}

// TestOptions: jobs before a date and of other families teach without being
// scored; an error of Each ends the pass.
func TestOptions(t *testing.T) {
	b := potters()
	var cases []Case
	for i := range 6 {
		family := []string{"kiln", "oven"}[i%2]
		cases = append(cases, Case{Job: closedJob(string(rune('a'+i)), family, opening.AddDate(0, i, 0), 1, []string{"ash"}, saw(kb.KindCheck, "draft", "weak"))})
	}
	all, err := run(b, cases, &Options{})
	if err != nil {
		t.Fatal(err)
	}
	some, err := run(b, cases, &Options{From: cases[2].Job.Opened, Family: "kiln"})
	if err != nil {
		t.Fatal(err)
	}
	if j := some.jobs; j.Closed != 6 || j.Earlier != 2 || j.Elsewhere != 2 || j.Scored != 2 {
		t.Errorf("%+v", j)
	}
	for i, p := range some.line {
		if want := all.line[2+2*i]; p != want {
			t.Errorf("job %s is scored %+v, with all the others %+v", p.job.ID, p, want)
		}
	}
	stop := errors.New("stop")
	done := 0
	_, err = Run(b, cases, Options{Each: func(n, of int) error {
		if done = n; n == 3 {
			return stop
		}
		if of != 6 {
			t.Errorf("%d of %d jobs", n, of)
		}
		return nil
	}})
	if !errors.Is(err, stop) || done != 3 {
		t.Errorf("it ended after %d jobs with error %v", done, err)
	}
	if _, err := Run(b, []Case{{Job: &kb.Job{ID: "7", Family: "kiln"}}}, Options{}); err == nil {
		t.Error("an open job is scored")
	}
}
