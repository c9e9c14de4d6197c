package cli

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// terminal opens a pseudo-terminal of a width, and returns the side that a
// program writes to and a function that closes it and returns what was written.
func terminal(t *testing.T, columns uint16) (tty *os.File, written func() string) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("no pseudo-terminals here: %v", err)
	}
	t.Cleanup(func() { master.Close() })
	fd := int(master.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	tty, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: columns}); err != nil {
		t.Fatal(err)
	}
	read := make(chan string)
	go func() { // ends with the last writer, which reads as an error
		var all bytes.Buffer
		_, _ = all.ReadFrom(master)
		read <- all.String()
	}()
	return tty, func() string {
		tty.Close()
		return strings.ReplaceAll(<-read, "\r\n", "\n")
	}
}

func TestColoursOnlyWhereWanted(t *testing.T) {
	for _, tc := range []struct {
		name     string
		settings map[string]string
		colour   bool
	}{
		{"terminal", map[string]string{"TERM": "xterm"}, true},
		{"NO_COLOR", map[string]string{"TERM": "xterm", "NO_COLOR": "1"}, false},
		{"NO_COLOR empty", map[string]string{"TERM": "xterm", "NO_COLOR": ""}, true},
		{"dumb terminal", map[string]string{"TERM": "dumb"}, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			store := t.TempDir()
			tty, written := terminal(t, 80)
			code := Run(context.Background(), []string{"find", "rumbles", "--kind", "symptom", "--store", store}, Env{In: strings.NewReader(""), Out: tty, Err: &bytes.Buffer{},
				Getenv: func(k string) string { return tc.settings[k] }})
			out := written()
			if code != ExitDone {
				t.Fatalf("exit %d", code)
			}
			if got := strings.Contains(out, "\x1b[1;4mRumbles\x1b[0m"); got != tc.colour {
				t.Errorf("underlined: %v, want %v, in:\n%q", got, tc.colour, out)
			}
			if got := strings.Contains(out, "*Rumbles*"); got == tc.colour {
				t.Errorf("stars: %v, want %v, in:\n%q", got, !tc.colour, out)
			}
			if !tc.colour && strings.Contains(out, "\x1b") {
				t.Errorf("there are escapes in:\n%q", out)
			}
		})
	}
}

func TestLinesFitTheTerminal(t *testing.T) {
	for columns, most := range map[uint16]int{60: 60, 80: 80, 200: 100} {
		tty, written := terminal(t, columns)
		code := Run(context.Background(), []string{"base", "show", "nozzle-look", "--store", t.TempDir()}, Env{In: strings.NewReader(""), Out: tty, Err: &bytes.Buffer{},
			Getenv: func(k string) string { return map[string]string{"NO_COLOR": "1"}[k] }})
		out := written()
		if long := tooLong(out, most); code != ExitDone || long != "" || len(out) == 0 {
			t.Errorf("at %d columns: exit %d, a line over %d characters: %q", columns, code, most, long)
		}
	}
}

func TestProgressOnTerminalsOnly(t *testing.T) {
	s := newSession(t)
	s.must("job", "open", "no heat", "--family", "oil-furnace")
	if _, _, errs := s.run("verify"); errs != "" {
		t.Errorf("progress was written to a file: %q", errs)
	}
	tty, written := terminal(t, 80)
	code := Run(context.Background(), []string{"verify"}, Env{In: strings.NewReader(""), Out: &bytes.Buffer{}, Err: tty, Getenv: func(k string) string { return s.settings[k] }})
	out := written()
	if code != ExitDone || !strings.Contains(out, "looking at the journal ...") || !strings.HasSuffix(out, "\r\x1b[K") {
		t.Errorf("exit %d, progress %q; want it shown and wiped away", code, out)
	}
}
