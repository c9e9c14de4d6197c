package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/data"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

var update = flag.Bool("update", false, "write the golden files anew")

// demoText runs the demo and returns what it prints.
func demoText(t *testing.T, ctx context.Context, in io.Reader, args ...string) (out, errs string, code int) {
	t.Helper()
	t.Setenv("TMPDIR", t.TempDir())
	var stdout, stderr bytes.Buffer
	code = Run(ctx, append([]string{"demo"}, args...), Env{In: in, Out: &stdout, Err: &stderr, Getenv: func(string) string { return "" }})
	if left, err := os.ReadDir(os.TempDir()); err != nil || len(left) > 0 {
		t.Errorf("the demo left %v behind, error %v", left, err)
	}
	return stdout.String(), stderr.String(), code
}

// TestDemo compares the demo with the one that was last looked at and found
// good. After an edit of the base look at it again and run:
//
//	go test ./cmd/internal/cli -run TestDemo -update
func TestDemo(t *testing.T) {
	out, errs, code := demoText(t, t.Context(), strings.NewReader(""))
	if code != ExitDone || errs != "" {
		t.Fatalf("exit %d: %s", code, errs)
	}
	name := filepath.Join("..", "..", "..", "testdata", "golden", "demo.txt")
	if *update {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), out); diff != "" {
		t.Errorf("the demo has changed; look at it, and if it is good: go test ./cmd/internal/cli -run TestDemo -update\n(-was +is):\n%s", diff)
	}
}

// TestDemoStory: whatever the base says, the demo is a story that fits a
// terminal and comes to an end.
func TestDemoStory(t *testing.T) {
	out, _, _ := demoText(t, t.Context(), strings.NewReader(""))
	if long := tooLong(out, 80); long != "" {
		t.Errorf("a line is longer than 80 characters: %s", long)
	}
	if n := strings.Count(out, "\n"); n < 120 || n > 230 {
		t.Errorf("it is %d lines long; want some 150 to 200", n)
	}
	at := 0
	for _, part := range []string{"invented shop", "Imported 2", "Understood: ", "What it probably is", "Next", "$ sootsayer job record ", "Why these causes",
		"Stop checking and fix: ", "CAUTION: ", "Prove it: ", "$ sootsayer job close --cause ", "Learned: ", "90% between", "job import FILE.csv"} {
		next := strings.Index(out[at:], part)
		if next < 0 {
			t.Fatalf("%q is missing after:\n%s", part, out[:at])
		}
		at += next
	}
	// Who does what a shown step says sees its cautions: a numbered step is
	// never shown of a part whose cautions are left out.
	for _, step := range strings.Split(out, "\n$ ") {
		if strings.Contains(step, "\n  1. ") && strings.Contains(step, ", with ") {
			t.Errorf("cautions are left out of a step that says what to do:\n%s", step)
		}
	}
}

// TestDemoIsReal: the steps as data are the answers of the commands, and the
// shares at the end are learned from the jobs of the file.
func TestDemoIsReal(t *testing.T) {
	out, errs, code := demoText(t, t.Context(), strings.NewReader(""), "--json")
	if code != ExitDone || errs != "" {
		t.Fatalf("exit %d: %s", code, errs)
	}
	var got struct {
		Steps []struct {
			Command string
			Answer  json.RawMessage
		}
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	var imported struct{ Imported int }
	if err := json.Unmarshal(got.Steps[0].Answer, &imported); err != nil {
		t.Fatal(err)
	}
	if want := strings.Count(data.DemoJobs(), "\n") - 1; imported.Imported != want {
		t.Errorf("imported %d jobs of %d", imported.Imported, want)
	}
	var r ranker.Ranking
	last := got.Steps[len(got.Steps)-3]
	if err := json.Unmarshal(last.Answer, &r); err != nil || r.Advice.Do != ranker.DoFix {
		t.Fatalf("%s ends with %+v, error %v; want a fix", last.Command, r.Advice, err)
	}
	var closed struct{ Learned []learn.Prior }
	if err := json.Unmarshal(got.Steps[len(got.Steps)-2].Answer, &closed); err != nil || len(closed.Learned) != 1 ||
		closed.Learned[0].ID != r.Causes[0].ID || !(closed.Learned[0].Now > closed.Learned[0].Start) {
		t.Errorf("learned %+v, error %v; want a greater share of %s than at the start", closed.Learned, err, r.Causes[0].ID)
	}
}

// TestDemoPauses: it waits for a line after each part, and when it is stopped
// meanwhile it cleans up.
func TestDemoPauses(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	in, typing := io.Pipe()
	defer typing.Close()
	go func() {
		for range 2 {
			typing.Write([]byte("\n"))
		}
		stop()
	}()
	out, errs, code := demoText(t, ctx, in, "--pause")
	if code != ExitFailed || !strings.Contains(errs, "broken off") {
		t.Errorf("exit %d: %s", code, errs)
	}
	if !strings.Contains(out, "\n1. ") || strings.Contains(out, "\n4. ") {
		t.Errorf("it went on without Enter:\n%s", out)
	}
}

// failing is an output that cannot be written to.
type failing struct{}

var errFull = errors.New("no space left")

func (failing) Write([]byte) (int, error) { return 0, errFull }

// TestExportFails: an export that cannot be written fails and leaves no file.
func TestExportFails(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "jobs.csv")
	err := writeFile(name, false, func(io.Writer) error { return errFull })
	if left, _ := os.ReadDir(dir); !errors.Is(err, errFull) || len(left) > 0 {
		t.Errorf("error %v, left %v; want %v and nothing", err, left, errFull)
	}
	if err := writeFile(filepath.Join(dir, "no", "jobs.csv"), false, func(io.Writer) error { return nil }); err == nil {
		t.Error("a folder that is not there is no error")
	}
	env := Env{Out: failing{}, Err: io.Discard, Getenv: func(string) string { return "" }}
	if code := Run(t.Context(), []string{"--store", filepath.Join(dir, "store"), "job", "export"}, env); code != ExitFailed {
		t.Errorf("exit %d; want %d", code, ExitFailed)
	}
}

// TestProgressBar: the bar fits its terminal and says how far it got.
func TestProgressBar(t *testing.T) {
	for _, test := range []struct {
		name         string
		total, bytes int64
		width        int
		want         string
	}{
		{"half", 1000, 500, 80, "reading jobs.csv [████████████            ]  50% 7 rows"},
		{"all", 1000, 1000, 80, "reading jobs.csv [████████████████████████] 100% 7 rows"},
		{"more than all", 1000, 2000, 80, "reading jobs.csv [████████████████████████] 100% 7 rows"},
		{"size not known", 0, 500, 80, "reading jobs.csv: 7 rows"},
		{"narrow", 1000, 500, 58, "reading j… [████████████            ]  50% 7 rows"},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := &progressBar{what: "reading jobs.csv", total: test.total, width: test.width}
			if got := p.text(test.bytes, 7); got != test.want {
				t.Errorf("it says\n%q, want\n%q", got, test.want)
			}
		})
	}
}
