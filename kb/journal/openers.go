package journal

import (
	"cmp"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// openDir is the folder in a store where every process that has it open leaves
// a note, so that others can say who it is. The lock itself is bolt's: a note
// that is missing or left over does no harm.
const openDir = "open"

// Holder is a process that has a store open.
type Holder struct {
	PID      int       `json:"pid"`
	Program  string    `json:"program,omitempty"`
	ReadOnly bool      `json:"read_only,omitempty"`
	Since    time.Time `json:"since"`
	// Run tells this process from an earlier one that had the same id.
	Run string `json:"run"`
}

// thisRun is the Run of this process.
var thisRun = rand.Text()

// leaveNote writes the note of this process and clears away those of dead
// ones. It returns the note's path, "" when none could be written, as in a
// folder that may only be read.
func leaveNote(dir string, opt Options) string {
	folder := filepath.Join(dir, openDir)
	if err := os.Mkdir(folder, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return ""
	}
	clearNotes(folder, opt)
	h := Holder{PID: os.Getpid(), Program: opt.Program, ReadOnly: opt.ReadOnly, Since: opt.Now().UTC(), Run: thisRun}
	text, err := json.Marshal(h)
	if err != nil {
		return ""
	}
	// One process may read a store several times over; the first note bears
	// its id alone.
	name := fmt.Sprint(h.PID)
	for n := 2; n < 100; n++ {
		path := filepath.Join(folder, name)
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if err == nil {
			_, err = f.Write(text)
			if errors.Join(err, f.Close()) == nil {
				return path
			}
			_ = os.Remove(path)
		}
		if !errors.Is(err, fs.ErrExist) {
			return ""
		}
		name = fmt.Sprintf("%d.%d", h.PID, n)
	}
	return ""
}

// clearNotes removes notes that nobody stands behind: those of dead processes,
// and for a writer, who holds the store alone, all of them.
func clearNotes(folder string, opt Options) {
	for _, n := range notes(folder) {
		if !opt.ReadOnly || !n.alive() {
			_ = os.Remove(n.path)
		}
	}
}

// holders returns the living processes that left a note, by id.
func holders(dir string) []Holder {
	var alive []Holder
	for _, n := range notes(filepath.Join(dir, openDir)) {
		if n.alive() {
			alive = append(alive, n.Holder)
		}
	}
	slices.SortFunc(alive, func(a, b Holder) int { return cmp.Compare(a.PID, b.PID) })
	return slices.CompactFunc(alive, func(a, b Holder) bool { return a.PID == b.PID })
}

type note struct {
	Holder
	path string
}

// alive tells whether the process of the note still runs.
func (n note) alive() bool {
	if n.PID == os.Getpid() {
		return n.Run == thisRun
	}
	return n.PID > 0 && processAlive(n.PID)
}

// notes reads all notes. One that is just being written is known by its name.
func notes(folder string) []note {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil
	}
	var all []note
	for _, e := range entries {
		n := note{path: filepath.Join(folder, e.Name())}
		text, err := os.ReadFile(n.path)
		if err != nil || json.Unmarshal(text, &n.Holder) != nil {
			n.Holder = Holder{}
			name, _, _ := strings.Cut(e.Name(), ".")
			n.PID, _ = strconv.Atoi(name)
		}
		all = append(all, n)
	}
	return all
}
