package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestREADME types what the README tells a newcomer to type, in its order, in a
// fresh store, and every line of it must work.
func TestREADME(t *testing.T) {
	root, err := filepath.Abs("../../..")
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.CopyFS("my-base", os.DirFS(filepath.Join(root, "data", "base"))); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join("data", "demo"), os.DirFS(filepath.Join(root, "data", "demo"))); err != nil {
		t.Fatal(err)
	}
	getenv := func(name string) string {
		return map[string]string{"SOOTSAYER_STORE": "store", "SOOTSAYER_BY": "ann", "NO_COLOR": "1"}[name]
	}
	ran := 0
	for line := range strings.Lines(string(readme)) {
		command, ok := strings.CutPrefix(line, "    ./sootsayer ")
		if !ok {
			continue
		}
		ran++
		var out, errs bytes.Buffer
		code := Run(context.Background(), asShell(command), Env{In: strings.NewReader(""), Out: &out, Err: &errs, Getenv: getenv})
		if code != ExitDone {
			t.Errorf("README: %sexit %d\n%s", line, code, errs.String())
		}
		if out.Len()+errs.Len() == 0 {
			t.Errorf("README: %sprints nothing", line)
		}
	}
	if ran < 20 {
		t.Errorf("only %d commands found in the README", ran)
	}
}

// asShell splits a command as a shell would, as far as the README needs it:
// quotes, comments, and no redirections.
func asShell(line string) []string {
	var words []string
	var word strings.Builder
	quoted, started := false, false
	end := func() {
		if started {
			words = append(words, word.String())
		}
		word.Reset()
		started = false
	}
	for _, r := range strings.TrimSpace(line) {
		switch {
		case r == '"':
			quoted, started = !quoted, true
		case r == ' ' && !quoted:
			end()
		case (r == '#' || r == '>') && !quoted && !started:
			return words
		default:
			word.WriteRune(r)
			started = true
		}
	}
	end()
	return words
}
