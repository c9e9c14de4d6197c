package shop

import (
	"math"
	"strings"
	"testing"
	"time"

	"sootsayer/data"
	"sootsayer/kb"
)

// TestScoreIsWhatWasSaid: what the score holds against a job is what the shop
// itself said when the job was opened and only earlier ones were there.
func TestScoreIsWhatWasSaid(t *testing.T) {
	now := data.DemoDay()
	open := func(jobs string) *Shop {
		s, err := Open(Config{Store: t.TempDir(), Write: true, Now: func() time.Time { return now }, Notice: func(text string) { t.Error(text) }})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		importText(t, s, jobs)
		return s
	}
	row, job := lastPlain(t, open(data.DemoJobs()))
	rows := strings.SplitAfter(data.DemoJobs(), "\n")
	then, since := open(strings.Join(rows[:row], "")), open(strings.Join(rows[:row+1], ""))
	now = job.Opened
	belief, err := then.Believe(&job)
	if err != nil {
		t.Fatal(err)
	}
	e, err := then.Engine(job.Family, job.Model, false)
	if err != nil {
		t.Fatal(err)
	}
	causes, _ := belief.RootChances()
	said := -math.Log2(causes[e.Model().CauseIndex(job.Closing.Causes[0])])
	through := 0
	r, err := since.Score(t.Context(), ScoreOptions{From: job.Opened, Family: job.Family, Progress: func(done, of int) { through = done }})
	if err != nil {
		t.Fatal(err)
	}
	if r.Jobs.Scored != 1 || r.Jobs.Closed != through {
		t.Fatalf("%+v after %d; want one of them scored", r.Jobs, through)
	}
	if math.Abs(r.End.Learned.LogLoss-said) > 1e-9 {
		t.Errorf("job %s scores %v bits; the shop said %v", job.ID, r.End.Learned.LogLoss, said)
	}
}

// lastPlain returns the last job with one listed cause that neither came back
// nor is a callback, when all jobs before it were closed before it was opened,
// and its row in the file.
func lastPlain(t *testing.T, s *Shop) (row int, last kb.Job) {
	t.Helper()
	var jobs []kb.Job
	back := make(map[string]bool)
	for j, err := range s.Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		jobs = append(jobs, j)
		back[j.CallbackOf] = true
	}
	var closed time.Time
	for i, j := range jobs {
		plain := j.CallbackOf == "" && !back[j.ID] && len(j.Closing.Causes) == 1 && j.Closing.Causes[0] != kb.Unlisted
		if plain && j.Opened.After(closed) {
			row, last = i+1, j
		}
		if j.Closing.At.After(closed) {
			closed = j.Closing.At
		}
	}
	if row < len(jobs)-20 {
		t.Fatalf("the last job to compare with is number %d of %d", row, len(jobs))
	}
	return row, last
}
