package journal

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"testing"
	"time"

	"sootsayer/kb"
)

// child is what the test binary does as another process.
func child(what, dir string) error {
	opt := Options{Timeout: 10 * time.Second, Program: "test child"}
	switch what {
	case "append":
		return childAppend(dir, opt)
	case "salvage":
		for {
			if _, err := Salvage(dir, opt); err != nil {
				return err
			}
		}
	case "read":
		opt.ReadOnly = true
	}
	s, err := Open(dir, opt)
	if err != nil {
		return err
	}
	fmt.Println("open")
	_, err = io.ReadAll(os.Stdin) // until the parent closes it
	if err != nil {
		return err
	}
	return s.Close()
}

// childAppend opens jobs and records on them until it is killed. It prints the
// ids of events once they are acknowledged, one line for each Append; those
// that were appended together share By.
func childAppend(dir string, opt Options) error {
	s, err := Open(dir, opt)
	if err != nil {
		return err
	}
	for {
		job, err := s.OpenJob(func(job string) []Event {
			e := s.NewEvent(KindJobOpened, job, "single")
			e.Family = "oil-furnace"
			return []Event{e}
		})
		if err != nil {
			return err
		}
		for i := range 6 {
			a := s.NewEvent(KindFindingRecorded, job, "single")
			a.Finding = &kb.Finding{Kind: kb.KindCheck, ID: "draft", Reading: new(float64(-i) / 100)}
			events := []Event{a}
			if i%3 == 2 {
				b := s.NewEvent(KindJobClosed, job, "")
				b.Closing = &kb.Closing{Causes: []string{"nozzle-plugged"}, Confidence: 1}
				c := s.NewEvent(KindJobReopened, job, "")
				events = append(events, b, c)
				for j := range events {
					events[j].By = a.ID
				}
			}
			if _, err := s.Append(events...); err != nil {
				return err
			}
			line := ""
			for _, e := range events {
				line += e.ID + " "
			}
			// Not buffered: what is printed was acknowledged.
			if _, err := os.Stdout.WriteString(line + "\n"); err != nil {
				return err
			}
		}
	}
}

// process is a running child.
type process struct {
	cmd   *exec.Cmd
	in    io.Closer
	lines *bufio.Reader
}

func start(t testing.TB, what, dir string) *process {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childVar+"="+what, dirVar+"="+dir)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return &process{cmd, in, bufio.NewReader(out)}
}

// startHolder starts a child that has the store open when this returns.
func startHolder(t testing.TB, what, dir string) *process {
	t.Helper()
	p := start(t, what, dir)
	if line, err := p.lines.ReadString('\n'); line != "open\n" {
		t.Fatalf("the child said %q, %v", line, err)
	}
	return p
}

func (p *process) stop(t testing.TB) {
	t.Helper()
	if err := p.in.Close(); err != nil {
		t.Error(err)
	}
	if err := p.cmd.Wait(); err != nil {
		t.Error(err)
	}
}
