package shop

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/transform"

	"sootsayer/kb"
)

// skipMark passes over the byte order mark that some programs put at the start
// of a file.
func skipMark(name string, buf *bufio.Reader, m *Mapping) error {
	start, err := buf.Peek(3)
	if err != nil && err != io.EOF {
		return fmt.Errorf("%s cannot be read: %w", name, err)
	}
	switch {
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		if m != nil && m.encoding == windows1252 {
			return fmt.Errorf("%s begins with the mark of UTF-8 text; take encoding out of %s", name, m.file)
		}
		_, err := buf.Discard(3)
		return err
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		return fmt.Errorf("%s is UTF-16 text; save it as CSV in UTF-8", name)
	}
	return nil
}

// windowsText reads the letters of Windows-1252.
func windowsText(r io.Reader) io.Reader {
	return transform.NewReader(r, charmap.Windows1252.NewDecoder())
}

// errLongRow stops reading a row that has no end.
var errLongRow = errors.New("the row is too long")

// rowGuard lets so many bytes through until left is set anew.
type rowGuard struct {
	r    io.Reader
	left int
}

// Read reads from the file.
func (g *rowGuard) Read(p []byte) (int, error) {
	if g.left <= 0 {
		return 0, errLongRow
	}
	n, err := g.r.Read(p)
	g.left -= n
	return n, err
}

// findColumns finds out where each column stands.
func (x *rowReader) findColumns(header []string) error {
	for _, cell := range header {
		if !utf8.ValidString(cell) {
			return fmt.Errorf("%s: the first line is not UTF-8 text; save the file as CSV in UTF-8, or write encoding: windows-1252 in a file for --map", x.name)
		}
		x.headings = append(x.headings, strings.TrimSpace(cell))
	}
	names := make([]string, len(header))
	for i, h := range x.headings {
		names[i] = folded(h)
	}
	var err error
	if x.mapping != nil && x.mapping.named {
		err = x.findMapped(names)
	} else {
		err = x.findOwn(names)
	}
	read := make(map[int]bool)
	for _, at := range x.place {
		for _, i := range at {
			read[i] = true
		}
	}
	for i, h := range x.headings {
		if h != "" && !read[i] {
			x.unread = append(x.unread, h)
		}
	}
	return err
}

// findOwn finds the columns under our own names.
func (x *rowReader) findOwn(names []string) error {
	for i, name := range names {
		if name != "" && slices.Contains(names[:i], name) {
			return fmt.Errorf("%s: the column %s is there twice; keep one", x.name, name)
		}
	}
	var missing []string
	for col, want := range columnNames {
		switch i := slices.Index(names, want); {
		case i >= 0:
			x.place[col] = []int{i}
		case col < numContract && (x.mapping == nil || x.mapping.defaults[col] == ""):
			missing = append(missing, want)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	return x.missingColumns(names, missing)
}

// missingColumns says which columns are not there, and what may be meant.
func (x *rowReader) missingColumns(names, missing []string) error {
	if err := x.otherMark(); err != nil {
		return err
	}
	extra := slices.DeleteFunc(slices.Clone(names), func(name string) bool {
		_, ours := columnOf(name)
		return ours || name == ""
	})
	text := ""
	for _, name := range missing {
		if near, ok := kb.Nearest(name, extra); ok {
			text += fmt.Sprintf("; is %q meant to be %s?", near, name)
		}
	}
	return fmt.Errorf("%s: the first line lacks the columns %s%s; add them, their cells may stay empty where there is nothing to say; or say in a file for --map which headings stand for them",
		x.name, strings.Join(missing, ", "), text)
}

// otherMark tells that the cells seem to be parted by another mark.
func (x *rowReader) otherMark() error {
	if len(x.headings) != 1 {
		return nil
	}
	for _, name := range []string{"semicolon", "tab", "pipe", "comma"} {
		if mark := marks[name]; mark != string(x.csv.Comma) && strings.Contains(x.headings[0], mark) {
			return fmt.Errorf("%s: the columns are parted by %q; save it with %q between the columns, or write separator: %s in a file for --map",
				x.name, mark, string(x.csv.Comma), name)
		}
	}
	return nil
}

// findMapped finds the headings that a mapping names.
func (x *rowReader) findMapped(names []string) error {
	var problems kb.Problems
	for col, headings := range x.mapping.headings {
		for i, h := range headings {
			at := slices.Index(names, folded(h))
			what, do := "", ""
			switch {
			case at < 0:
				what, do = fmt.Sprintf("%s has no heading %q", x.name, h), "its headings are "+strings.Join(x.headings, ", ")
				if near, ok := kb.Nearest(folded(h), names); ok {
					do = fmt.Sprintf("did you mean %q?", x.headings[slices.Index(names, near)])
				}
			case slices.Contains(names[at+1:], folded(h)):
				what, do = fmt.Sprintf("%s has the heading %q twice", x.name, h), "rename one of the two in the file"
			default:
				x.place[col] = append(x.place[col], at)
				continue
			}
			problems = append(problems, kb.Problem{Pos: x.mapping.places.At("columns", columnNames[col], fmt.Sprint(i)), What: what, Do: do})
		}
	}
	if len(problems) == 0 {
		return nil
	}
	if err := x.otherMark(); err != nil {
		return err
	}
	return problems.InOrder()
}
