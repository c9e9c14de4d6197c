package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/testscript"

	"sootsayer/kb/journal"
)

// scriptCommands are what sessions in testdata/script can do besides running
// programs.
var scriptCommands = map[string]func(ts *testscript.TestScript, neg bool, args []string){
	"smallbase": scriptSmallBase,
	"hold":      scriptHold,
	"flip":      scriptFlip,
	"edit":      scriptEdit,
	"narrow":    scriptNarrow,
	"isjson":    scriptIsJSON,
}

// scriptCondition knows [root]: files can be written whatever their mode says.
func scriptCondition(cond string) (bool, error) {
	return cond == "root" && os.Geteuid() == 0, nil
}

// scriptSmallBase copies the small invented base to a folder.
func scriptSmallBase(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("write: smallbase DIR")
	}
	ts.Check(os.CopyFS(ts.MkAbs(args[0]), os.DirFS(filepath.Join("..", "..", "..", "testdata", "smallbase"))))
}

// held are the stores that scripts hold open, by script.
var held sync.Map

// scriptHold opens a store for writing in the process of the test, as another
// process would, and keeps it open to the end of the script or to "hold off".
func scriptHold(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("write: hold DIR|off")
	}
	if args[0] == "off" {
		st, ok := held.LoadAndDelete(ts)
		if !ok {
			ts.Fatalf("no store is held")
		}
		ts.Check(st.(*journal.Store).Close())
		return
	}
	st, err := journal.Open(ts.MkAbs(args[0]), journal.Options{Program: "sootsayer elsewhere"})
	ts.Check(err)
	ts.Defer(func() { st.Close() })
	held.Store(ts, st)
}

// scriptFlip changes one bit of a file: in the middle, or in the last letter of
// the first place that holds a text.
func scriptFlip(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 1 || len(args) > 2 {
		ts.Fatalf("write: flip FILE [TEXT]")
	}
	files, err := filepath.Glob(ts.MkAbs(args[0]))
	ts.Check(err)
	if len(files) == 0 {
		ts.Fatalf("no file %s", args[0])
	}
	content, err := os.ReadFile(files[0])
	ts.Check(err)
	at := len(content) / 2
	if len(args) == 2 {
		if at = bytes.Index(content, []byte(args[1])); at < 0 {
			ts.Fatalf("%s does not hold %q", files[0], args[1])
		}
		at += len(args[1]) - 1
	}
	content[at] ^= 1
	ts.Check(os.WriteFile(files[0], content, 0o600))
}

// scriptEdit replaces a text by another wherever a file has it, which it must; \n
// stands for the end of a line.
func scriptEdit(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("write: edit FILE OLD NEW")
	}
	before := ts.ReadFile(args[0])
	after := strings.ReplaceAll(before, args[1], strings.ReplaceAll(args[2], `\n`, "\n"))
	if after == before {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(after), 0o600))
}

// scriptNarrow checks that the last command printed no line over 80 characters.
func scriptNarrow(ts *testscript.TestScript, _ bool, args []string) {
	if long := tooLong(ts.ReadFile("stdout"), 80); long != "" {
		ts.Fatalf("a line is longer than 80 characters:\n%s", long)
	}
}

// tooLong returns the first line of text that is longer than width and could
// have been broken.
func tooLong(text string, width int) string {
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		if utf8.RuneCountInString(line) > width && len(strings.Fields(line)) > 1 {
			return line
		}
	}
	return ""
}

// scriptIsJSON checks that the last command printed JSON.
func scriptIsJSON(ts *testscript.TestScript, _ bool, args []string) {
	if text := ts.ReadFile("stdout"); !json.Valid([]byte(text)) {
		ts.Fatalf("this is not JSON:\n%s", text)
	}
}
