package kb

import (
	"fmt"
	"strings"
)

// Pos is a place in a base's files; Line and Col count from 1 and are 0 where
// the place is not known (a base that was not read from YAML).
type Pos struct {
	File string `json:"file,omitempty"`
	Line int    `json:"line,omitempty"`
	Col  int    `json:"col,omitempty"`
}

// String writes file:line:col, as far as known.
func (p Pos) String() string {
	switch {
	case p.File == "":
		return "base"
	case p.Line == 0:
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// Problem is one thing wrong with a base: where it stands, which entry it is
// in, what is wrong and what to do. A Warning does not keep the base from
// being used.
type Problem struct {
	Pos
	Warning bool   `json:"warning"`
	Entry   string `json:"entry,omitempty"` // e.g. check "draft"
	What    string `json:"what"`
	Do      string `json:"do,omitempty"`
}

// Error writes place, entry, what is wrong and what to do on one line.
func (p Problem) Error() string {
	var b strings.Builder
	b.WriteString(p.Pos.String())
	b.WriteString(": ")
	if p.Warning {
		b.WriteString("warning: ")
	}
	if p.Entry != "" {
		b.WriteString(p.Entry + ": ")
	}
	b.WriteString(p.What)
	if p.Do != "" {
		b.WriteString("; " + p.Do)
	}
	return b.String()
}

// Problems are the findings of the loader or of lint, in file order.
type Problems []Problem

// Error writes one problem a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Errors returns the problems that keep a base from being used.
func (ps Problems) Errors() Problems { return ps.filter(false) }

// Warnings returns the problems that do not.
func (ps Problems) Warnings() Problems { return ps.filter(true) }

func (ps Problems) filter(warning bool) Problems {
	var out Problems
	for _, p := range ps {
		if p.Warning == warning {
			out = append(out, p)
		}
	}
	return out
}
