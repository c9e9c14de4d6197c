package index

import (
	"context"
	"fmt"
	"iter"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sootsayer/kb"
)

// jobsEnv names the folder in which other processes of the test search past
// jobs.
const jobsEnv = "SOOTSAYER_TEST_JOBS"

// sharedJobs is a journal that processes share: a file of one byte for each
// event. Event n closes job n, and from time to time an earlier one anew.
type sharedJobs struct {
	path string
}

func (s sharedJobs) add() error {
	f, err := os.OpenFile(s.path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return err
	}
	if _, err := f.Write([]byte{'.'}); err != nil {
		return err
	}
	return f.Close()
}

func (s sharedJobs) events() (int, error) {
	info, err := os.Stat(s.path)
	if err != nil {
		return 0, err
	}
	return int(info.Size()), nil
}

// jobOf is the job that an event closes.
func (s sharedJobs) jobOf(event int) int {
	if event%5 == 0 {
		return event / 5
	}
	return event
}

func (s sharedJobs) Stamp() (JobStamp, error) {
	n, err := s.events()
	return JobStamp{"shared", uint64(n), fmt.Sprint(n)}, err
}

func (s sharedJobs) EventAt(seq uint64) (string, error) { return fmt.Sprint(seq), nil }

func (s sharedJobs) All() iter.Seq2[PastJob, error] {
	return func(yield func(PastJob, error) bool) {
		n, _ := s.events()
		for i := 1; i <= n; i++ {
			if j, closed, err := s.Closed(fmt.Sprint(i)); closed && !yield(j, err) {
				return
			}
		}
	}
}

func (s sharedJobs) ChangedSince(seq uint64) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		n, err := s.events()
		for i := int(seq) + 1; i <= n; i++ {
			if !yield(fmt.Sprint(s.jobOf(i)), err) {
				return
			}
		}
	}
}

// Closed says in the complaint which event closed the job last.
func (s sharedJobs) Closed(id string) (PastJob, bool, error) {
	n, err := s.events()
	var job, last int
	fmt.Sscan(id, &job)
	for i := job; i > 0 && i <= n; i = 5 * i {
		if s.jobOf(i) == job {
			last = i
		}
	}
	return PastJob{ID: id, Complaint: fmt.Sprintf("rumbles word%d", last), Closed: opening.Add(time.Duration(last) * time.Hour)}, last > 0, err
}

// searchShared records an event and looks for it, over and over.
func searchShared(dir string, times int) error {
	b := testBase()
	x, err := Open("", b, Options{})
	if err != nil {
		return err
	}
	defer x.Close()
	s := sharedJobs{filepath.Join(dir, "journal")}
	for range times {
		if err := s.add(); err != nil {
			return err
		}
		n, err := s.events()
		if err != nil {
			return err
		}
		if err := searchFor(x, b, dir, s, n); err != nil {
			return err
		}
	}
	return nil
}

// searchFor wants the job that the n-th event closed, unless it was closed anew
// meanwhile.
func searchFor(x *Index, b *kb.Base, dir string, s sharedJobs, n int) error {
	var said []string
	jobs, err := x.OpenJobs(filepath.Join(dir, "jobs"), b, s, JobOptions{Log: func(s string) { said = append(said, s) }})
	if err != nil {
		return err
	}
	defer jobs.Close()
	hits, err := jobs.Search(context.Background(), Query{Text: fmt.Sprintf("word%d", n), Limit: 1})
	if err != nil {
		return err
	}
	job, _, err := s.Closed(fmt.Sprint(s.jobOf(n)))
	if err != nil {
		return err
	}
	if len(hits) == 0 && strings.HasSuffix(job.Complaint, fmt.Sprintf("word%d", n)) || len(hits) > 0 && hits[0].ID != job.ID {
		return fmt.Errorf("event %d of job %s: found %v", n, job.ID, hits)
	}
	if len(said) > 0 {
		return fmt.Errorf("said %q", said)
	}
	return nil
}

// TestJobsTwoProcesses lets processes bring the same index up to date at once,
// one of which is killed again and again.
func TestJobsTwoProcesses(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	start := func() (*exec.Cmd, *strings.Builder) {
		cmd, out := exec.Command(program), &strings.Builder{}
		cmd.Env = append(os.Environ(), jobsEnv+"="+dir)
		cmd.Stdout, cmd.Stderr = out, out
		if err := cmd.Start(); err != nil {
			t.Error(err)
		}
		return cmd, out
	}
	var wg sync.WaitGroup
	for range 2 {
		wg.Go(func() {
			if cmd, out := start(); cmd.Wait() != nil {
				t.Error(out)
			}
		})
	}
	for i := range 8 {
		cmd, out := start()
		time.Sleep(time.Duration(120+40*i) * time.Millisecond)
		if cmd.Process.Kill() != nil || cmd.Wait() == nil {
			t.Logf("it ended by itself: %s", out)
		}
	}
	wg.Wait()
	if err := searchShared(dir, 1); err != nil {
		t.Errorf("after all: %v", err)
	}
}
