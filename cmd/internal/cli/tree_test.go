package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// session is a person at a terminal with a store of their own.
type session struct {
	t        *testing.T
	settings map[string]string
	out, err bytes.Buffer
}

func newSession(t *testing.T) *session {
	t.Helper()
	return &session{t: t, settings: map[string]string{"SOOTSAYER_STORE": filepath.Join(t.TempDir(), "store"), "SOOTSAYER_BY": "ann"}}
}

// run runs a command line and returns its exit code and what it printed.
func (s *session) run(args ...string) (code int, out, errs string) {
	s.t.Helper()
	s.out.Reset()
	s.err.Reset()
	code = Run(context.Background(), args, Env{In: strings.NewReader(""), Out: &s.out, Err: &s.err, Getenv: func(k string) string { return s.settings[k] }})
	return code, s.out.String(), s.err.String()
}

// must runs a command that has to succeed.
func (s *session) must(args ...string) string {
	s.t.Helper()
	code, out, errs := s.run(args...)
	if code != ExitDone {
		s.t.Fatalf("sootsayer %s: exit %d\n%s%s", strings.Join(args, " "), code, out, errs)
	}
	return out
}

// tree returns every command that a person can see.
func tree(t *testing.T) (root *cobra.Command, all []*cobra.Command) {
	t.Helper()
	env := &Env{}
	env.fill()
	root = newRoot(env)
	root.InitDefaultHelpCmd()
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Hidden {
			return
		}
		all = append(all, c)
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(root)
	return root, all
}

func TestEveryCommandExplainsItself(t *testing.T) {
	_, all := tree(t)
	for _, c := range all {
		if c.Short == "" || strings.HasSuffix(c.Short, ".") || strings.Contains(c.Short, "\n") {
			t.Errorf("%s: its short text is %q; want one line without a full stop", c.CommandPath(), c.Short)
		}
		if !strings.Contains(c.Example, c.CommandPath()) {
			t.Errorf("%s: no example shows it", c.CommandPath())
		}
		if c.Args == nil {
			t.Errorf("%s: its arguments are not checked", c.CommandPath())
		}
		if c.Flag("json") == nil || c.DisableFlagParsing {
			t.Errorf("%s: it does not take --json", c.CommandPath())
		}
	}
}

// TestExamplesAreRight parses every example; what cannot be parsed would be
// wrong use.
func TestExamplesAreRight(t *testing.T) {
	_, all := tree(t)
	for _, c := range all {
		for _, line := range exampleLines(c.Example) {
			fresh, _ := tree(t) // flags keep what was parsed
			words := shellSplit(t, line)
			if len(words) == 0 || words[0] != "sootsayer" {
				continue
			}
			cmd, rest, err := fresh.Find(words[1:])
			if err == nil {
				err = cmd.ParseFlags(rest)
			}
			if err == nil {
				err = cmd.ValidateArgs(cmd.Flags().Args())
			}
			if err != nil {
				t.Errorf("%s: its example %q is wrong: %v", c.CommandPath(), line, err)
			}
		}
	}
}

// exampleLines joins lines that go on and takes off what is done with the
// output.
func exampleLines(text string) []string {
	var out []string
	for line := range strings.Lines(strings.ReplaceAll(text, "\\\n", " ")) {
		line, _, _ = strings.Cut(line, " | ")
		line, _, _ = strings.Cut(line, " > ")
		line, _, _ = strings.Cut(line, " >> ")
		out = append(out, strings.TrimSpace(line))
	}
	return out
}

// shellSplit parts words at spaces outside of quotes.
func shellSplit(t *testing.T, line string) []string {
	t.Helper()
	var words []string
	word, quote := "", rune(0)
	for _, r := range line + " " {
		switch {
		case r == quote:
			quote = 0
		case quote == 0 && (r == '"' || r == '\''):
			quote = r
		case quote == 0 && r == ' ':
			if word != "" {
				words = append(words, word)
			}
			word = ""
		default:
			word += string(r)
		}
	}
	if quote != 0 {
		t.Errorf("an open quote in %q", line)
	}
	return words
}

func TestUnknownCommandsAreRefused(t *testing.T) {
	s := newSession(t)
	_, all := tree(t)
	for _, c := range all {
		path := strings.Fields(c.CommandPath())[1:]
		for _, sub := range c.Commands() {
			if sub.Hidden {
				continue
			}
			for _, args := range [][]string{append(path, sub.Name()+"x"), append(append([]string{"help"}, path...), sub.Name()+"x")} {
				code, _, errs := s.run(args...)
				want := "did you mean: " + sub.CommandPath() + "?"
				if code != ExitUsage || !strings.Contains(errs, want) {
					t.Errorf("sootsayer %s: exit %d, %q; want exit %d, %q", strings.Join(args, " "), code, errs, ExitUsage, want)
				}
			}
		}
		if c.HasSubCommands() {
			if code, _, errs := s.run(append(path, "qqqqqqqq")...); code != ExitUsage || strings.Contains(errs, "did you mean") {
				t.Errorf("sootsayer %v qqqqqqqq: exit %d, %q", path, code, errs)
			}
		}
		if code, _, _ := s.run(append(path, "--nosuchflag")...); code != ExitUsage {
			t.Errorf("sootsayer %v --nosuchflag: exit %d, want %d", path, code, ExitUsage)
		}
	}
}

// call is a job from complaint to close and back, so that every command has
// something to answer. The commands of the table leave it as it is.
func call(s *session) {
	s.must("job", "open", "starts then locks out", "--family", "oil-furnace")
	s.must("job", "record", "chamber-clear=ok", "nozzle-look=plugged")
	s.must("job", "tried", "replace-fuel-filter")
	s.must("job", "close", "--cause", "nozzle-plugged", "--used", "nozzle-085-80-hollow=1", "--minutes", "50", "--note", strings.Repeat("long words of a technician, ", 8))
	s.must("job", "open", strings.Repeat("it makes a noise and smells of oil; ", 6), "--family", "used-oil-heater", "--appliance", "bay-3")
}

// answers are command lines that succeed after call, with --json and without.
var answers = [][]string{
	{"help"}, {"help", "job", "open"}, {"base"}, {"job"}, {"completion"},
	{"rank", "--family", "oil-furnace"},
	{"rank", "--family", "oil-furnace", "--symptom", "starts-then-locks-out", "--found", "chamber-clear=ok", "--tried", "replace-nozzle", "--explain"},
	{"job", "next", "2"}, {"job", "next", "2", "--explain"}, {"job", "show", "1"}, {"job", "show", "2"}, {"job", "list"}, {"job", "list", "--all"}, {"job", "sheet", "2"},
	{"find", "nozzle"}, {"find", "smell", "of", "oil", "in", "the", "room", "--limit", "0"}, {"find", "zyzzyva"}, {"find", "lockout", "--kind", "check", "--limit", "0"},
	{"base", "lint"}, {"base", "list"}, {"base", "list", "families"}, {"base", "list", "components"}, {"base", "list", "states"}, {"base", "list", "symptoms"},
	{"base", "list", "checks"}, {"base", "list", "causes"}, {"base", "list", "fixes"}, {"base", "list", "parts"}, {"base", "list", "holds"}, {"base", "list", "synonyms"},
	{"base", "list", "--family", "used-oil-heater"}, {"base", "show", "nozzle-look"}, {"base", "show", "nozzle-plugged"}, {"base", "show", "replace-nozzle"},
	{"find", "locks", "out", "--kind", "job"}, {"find", "nozzle", "--kind", "job", "--kind", "part"}, {"phrase"}, {"phrase", "list"}, {"priors", "--unlisted"},
	{"priors"}, {"priors", "--all", "--tables"}, {"score"}, {"base", "changed"}, {"verify"}, {"verify", "--repair"},
	{"stock", "forecast"}, {"stock", "forecast", "flame-eye", "--days", "400"}, {"stock", "order"}, {"stock", "order", "flame-eye", "--economic"}, {"stock", "order", "--all", "--economic"},
	{"stock", "bring", "2"}, {"stock", "score"}, {"stock", "health"},
}

func TestEveryAnswerIsJSONToo(t *testing.T) {
	s := newSession(t)
	call(s)
	also := [][]string{{"base", "export"}, {"base", "schema"}, {"completion", "bash"}, {"completion", "zsh"}, {"completion", "fish"}, {"completion", "powershell"},
		{"job", "open", "no", "heat", "--family", "oil-furnace"}, {"job", "record", "3", "chamber-clear=ok"}, {"job", "undo", "3"}, {"job", "tried", "3", "replace-nozzle"},
		{"phrase", "choose", "sad", "trombone", "--symptom", "rumbles", "--family", "oil-furnace"}, {"phrase", "withdraw", "sad", "trombone", "--symptom", "rumbles"},
		{"job", "close", "3", "--cause", "unlisted"}, {"job", "reopen", "3"}}
	for _, args := range append(answers, also...) {
		if out := s.must(append(args, "--json")...); !json.Valid([]byte(out)) {
			t.Errorf("sootsayer %s --json is not JSON:\n%.300s", strings.Join(args, " "), out)
		}
	}
}
