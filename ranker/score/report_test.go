package score

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestReportHangsTogether: the parts of a report say the same as the whole.
func TestReportHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, err := Run(potters(), drawCases(t, "j", 10), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatal(err)
		}
		n := r.Jobs.Scored
		if n == 0 {
			return
		}
		if diff := cmp.Diff(r.Complaint, r.Steps[0].Moment); diff != "" {
			t.Fatalf("the complaint is not the first step:\n%s", diff)
		}
		if diff := cmp.Diff(r.End, r.Steps[len(r.Steps)-1].Moment, near9); diff != "" {
			t.Fatalf("the end is not the last step:\n%s", diff)
		}
		for i, s := range r.Steps {
			if s.Jobs != n || s.Findings != i || i > 0 && s.Reached > r.Steps[i-1].Reached || s.Reached < 1 {
				t.Fatalf("step %d of %d jobs is of %d after %d findings, which %d had", i, n, s.Jobs, s.Findings, s.Reached)
			}
		}
		for name, splits := range map[string][]Split{"families": r.Families, "years": r.Years} {
			var jobs, bits float64
			for _, s := range splits {
				jobs += float64(s.End.Jobs)
				bits += float64(s.End.Jobs) * s.End.Learned.LogLoss
			}
			if int(jobs) != n || math.Abs(bits/jobs-r.End.Learned.LogLoss) > 1e-9 {
				t.Fatalf("%s: %v jobs and %v bits, want %d and %v", name, jobs, bits/jobs, n, r.End.Learned.LogLoss)
			}
		}
		for name, pair := range map[string][2]float64{
			"complaint": {r.Calibration.Complaint.All.Learned.Parts.Brier, r.Complaint.Learned.Brier},
			"end":       {r.Calibration.End.All.Authored.Parts.Brier, r.End.Authored.Brier}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9 {
				t.Fatalf("%s: the parts are of a Brier score of %v, it is %v", name, pair[0], pair[1])
			}
		}
		var named float64
		for _, b := range r.Calibration.End.First.Learned.Bins {
			named += b.Forecasts * b.Was
		}
		if math.Abs(named/float64(n)-r.End.Learned.Top1) > 1e-9 {
			t.Fatalf("what was named first was right in %v, the truth was first in %v", named/float64(n), r.End.Learned.Top1)
		}
	})
}

var near9 = cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9 })

// TestMoments: what is known at the complaint and after each further finding.
func TestMoments(t *testing.T) {
	cold, smoke, draft := saw(kb.KindSymptom, "cold", kb.Yes), saw(kb.KindSymptom, "smoke", kb.No), saw(kb.KindCheck, "draft", "ok")
	off, clean := kb.Act{State: map[string]string{"power": "off"}}, kb.Act{Tried: "clean"}
	for _, test := range []struct {
		name string
		acts []kb.Act
		ends []int
	}{
		{"nothing", nil, []int{0}},
		{"symptoms only", []kb.Act{cold, smoke}, []int{2}},
		{"checks only", []kb.Act{draft, draft}, []int{0, 1, 2}},
		{"asked after a check", []kb.Act{cold, draft, smoke}, []int{1, 2, 3}},
		{"a fix without a cure", []kb.Act{cold, clean, draft}, []int{1, 2, 3}},
		{"states are no findings", []kb.Act{off, cold, off, draft, off}, []int{3, 4}},
	} {
		t.Run(test.name, func(t *testing.T) {
			if diff := cmp.Diff(test.ends, moments(test.acts)); diff != "" {
				t.Errorf("known are (-want +got)\n%s", diff)
			}
		})
	}
}

// TestLeftOut: what the base does not have is counted, and the rest is scored as
// if it had not been recorded.
func TestLeftOut(t *testing.T) {
	b := potters()
	cold, draft := saw(kb.KindSymptom, "cold", kb.Yes), saw(kb.KindCheck, "draft", "ok")
	odd := closedJob("1", "kiln", opening, 1, []string{"coil"}, saw(kb.KindCheck, "timer", "ok"), cold, saw(kb.KindCheck, "draft", "odd"), draft, kb.Act{Tried: "wait"})
	got, err := Run(b, []Case{{Job: odd}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(map[string]int{"check/timer": 1, "outcome/draft=odd": 1, "fix/wait": 1}, got.LeftOut); diff != "" {
		t.Errorf("left out (-want +got)\n%s", diff)
	}
	want, err := Run(b, []Case{{Job: closedJob("1", "kiln", opening, 1, []string{"coil"}, cold, draft)}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.Steps, got.Steps); diff != "" {
		t.Errorf("without what was left out (-want +got)\n%s", diff)
	}
}

// TestManyFindings: of a very long job not every finding is a moment, but all of
// them count in the end.
func TestManyFindings(t *testing.T) {
	j := closedJob("1", "kiln", opening, 1, []string{"coil"})
	for range 50 {
		j.Acts = append(j.Acts, saw(kb.KindCheck, "draft", "ok"))
	}
	j.Acts = append(j.Acts, saw(kb.KindCheck, "ohms", "open"))
	r, err := Run(potters(), []Case{{Job: j}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(r.Steps); n != mostMoments+1 || !(r.End.Learned.LogLoss < r.Complaint.Learned.LogLoss-1) {
		t.Errorf("%d steps, from %v to %v bits", n, r.Complaint.Learned.LogLoss, r.End.Learned.LogLoss)
	}
}

// TestNotScored: what cannot be scored is counted, and teaches all the same.
func TestNotScored(t *testing.T) {
	b := potters()
	b.Settings.Floor = 0
	b.Checks[0].Normally = kb.Table{{Outcome: "ok", P: 1}, {Outcome: "weak", P: 0}, {Outcome: "none", P: 0}}
	b.Checks[0].If = kb.Rows{{Cause: "flue", Table: kb.Table{{Outcome: "none", P: 1}}}}
	b.Reindex()
	either := closedJob("2", "kiln", opening, 1, []string{"ash", "coil"})
	either.Closing.OneOf = true
	r, err := Run(b, []Case{
		{Job: closedJob("1", "kiln", opening, 1, []string{"ghost"})},
		{Job: either},
		{Job: closedJob("3", "forge", opening, 1, []string{"ash"})},
		{Job: closedJob("4", "kiln", opening, 1, []string{"ash"}, saw(kb.KindCheck, "draft", "weak"))},
		{Job: closedJob("5", "kiln", opening, 1, nil)},
	}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := Jobs{Closed: 5, UnknownCause: 3, OneOf: 1, Impossible: 1}
	if diff := cmp.Diff(want, r.Jobs); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if r.Complaint != (Moment{}) || len(r.Steps) != 0 || len(r.OverTime) != 0 {
		t.Errorf("nothing was scored, but it says %+v", r)
	}
	if _, err := json.Marshal(r); err != nil {
		t.Error(err)
	}
}

// TestMinutes: totals, means and the median ratio.
func TestMinutes(t *testing.T) {
	var s spent
	for _, x := range [][2]float64{{30, 60}, {100, 50}, {80, 80}, {0, 40}, {90, 60}} {
		s.add(x[0], x[1])
	}
	want := Minutes{Jobs: 4, Spent: 300, Foreseen: 250, MeanSpent: 75, MeanForeseen: 62.5, MedianRatio: 1.25}
	if got := s.minutes(); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := (&spent{}).minutes(); got != (Minutes{}) {
		t.Errorf("of no job: %+v", got)
	}
}

// TestPeriods: all jobs are in one, as many in each as can be.
func TestPeriods(t *testing.T) {
	for _, n := range []int{0, 1, 19, 45, 480, 5000} {
		line := make([]point, n)
		for i := range line {
			bits := By[float64]{Learned: float64(i), Authored: 1, Commonest: 2}
			line[i] = point{&kb.Job{Opened: opening.AddDate(0, 0, i)}, bits, bits}
		}
		total, bits := 0, 0.
		for _, p := range periods(line) {
			if p.Jobs < min(n, leastInPeriod) || p.Complaint.Authored != 1 || p.End.Commonest != 2 {
				t.Errorf("of %d jobs: %+v", n, p)
			}
			total += p.Jobs
			bits += p.End.Learned * float64(p.Jobs)
		}
		if total != n || math.Abs(bits-float64(n*(n-1)/2)) > 1e-3 || len(periods(line)) > mostPeriods {
			t.Errorf("of %d jobs %d are in periods, with %v bits", n, total, bits)
		}
	}
}
