package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// typed runs a command at a terminal where a person types lines, and returns
// its exit code, what stood on the terminal and what was said besides.
func (s *session) typed(lines string, args ...string) (code int, out, errs string) {
	s.t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		s.t.Skipf("no pseudo-terminals here: %v", err)
	}
	defer master.Close()
	fd := int(master.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		s.t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		s.t.Fatal(err)
	}
	tty, err := os.OpenFile(filepath.Join("/dev/pts", strconv.Itoa(n)), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		s.t.Fatal(err)
	}
	if _, err := master.WriteString(lines); err != nil {
		s.t.Fatal(err)
	}
	var shown, said bytes.Buffer
	read := make(chan struct{})
	go func() { // ends with the last writer, which reads as an error
		_, _ = shown.ReadFrom(master)
		close(read)
	}()
	settings := map[string]string{"NO_COLOR": "1"}
	code = Run(context.Background(), args, Env{In: tty, Out: tty, Err: &said, Getenv: func(k string) string {
		if v, ok := settings[k]; ok {
			return v
		}
		return s.settings[k]
	}})
	tty.Close()
	<-read
	return code, strings.ReplaceAll(shown.String(), "\r\n", "\n"), said.String()
}

// TestPickByWords opens a job at a terminal with words that nobody knows: other
// words find the symptom, and it is understood the next time.
func TestPickByWords(t *testing.T) {
	s := newSession(t)
	open := []string{"job", "open", "sad trombone", "--family", "oil-furnace"}
	code, out, errs := s.typed("zyzzyva\nrumbles\n1\n", open...)
	if code != ExitDone || !strings.Contains(out, "These words are not known yet") || !strings.Contains(out, "Nothing found for these words") ||
		!strings.Contains(out, `Remembered: "sad trombone" means`) {
		t.Fatalf("exit %d, %s\n%s", code, errs, out)
	}
	if out := s.must(open...); !strings.Contains(out, "Understood: Rumbles") {
		t.Errorf("the second time:\n%s", out)
	}
	if code, out, _ := s.typed("\n", "job", "open", "wheezing accordion", "--family", "oil-furnace"); code != ExitDone || strings.Contains(out, "Remembered") {
		t.Errorf("passed over: exit %d\n%s", code, out)
	}
	if code, out, _ := s.typed("rumbles\n\n\n", "job", "open", "wheezing accordion", "--family", "oil-furnace"); code != ExitDone || strings.Contains(out, "Remembered") {
		t.Errorf("none picked: exit %d\n%s", code, out)
	}
}

// TestSettleAsks settles a group at a terminal: no leaves all as it is, yes
// settles.
func TestSettleAsks(t *testing.T) {
	s := newSession(t)
	csv := "job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,causes,confidence,parts,minutes,callback_of\n"
	for i := range 30 {
		csv += strconv.Itoa(i+1) + ",2026-01-05,2026-01-05,oil-furnace,,,no heat,,,,tank-empty,1,,,\n"
	}
	for i := range 3 {
		csv += strconv.Itoa(i+41) + ",2026-01-06,2026-01-06,oil-furnace,,,wasps in the vent,,,,unlisted,1,,,\n"
	}
	file := filepath.Join(t.TempDir(), "jobs.csv")
	if err := os.WriteFile(file, []byte(csv), 0o600); err != nil {
		t.Fatal(err)
	}
	s.must("job", "import", file)
	settle := []string{"priors", "--unlisted", "--settle", "vent=nozzle-plugged"}
	for _, answer := range []string{"n\n", "\n", "\x04"} {
		code, out, errs := s.typed(answer, settle...)
		if code != ExitFailed || !strings.Contains(errs, "nothing was changed") || !strings.Contains(out, "job 43  wasps in the vent") {
			t.Errorf("answered %q: exit %d, %q\n%s", answer, code, errs, out)
		}
	}
	if code, out, errs := s.typed("y\n", settle...); code != ExitDone || !strings.Contains(out, "3 jobs are now closed as nozzle-plugged.") {
		t.Errorf("agreed: exit %d, %s\n%s", code, errs, out)
	}
	if out := s.must("priors", "--unlisted"); !strings.Contains(out, "No job was closed as unlisted") {
		t.Errorf("after that:\n%s", out)
	}
}
