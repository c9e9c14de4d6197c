package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// printer writes text for people: wrapped to the terminal's width, with bars,
// and with colour only where it is one and wants it.
type printer struct {
	w      io.Writer
	width  int
	colour bool
}

const (
	defaultWidth = 80
	leastWidth   = 48
	mostWidth    = 100 // longer lines are hard to read
)

// printer returns one for standard output.
func (a *app) printer() *printer {
	p := &printer{w: a.env.Out, width: defaultWidth}
	if f, ok := a.env.Out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil {
			p.width = min(max(w, leastWidth), mostWidth)
		}
		p.colour = a.env.Getenv("NO_COLOR") == "" && a.env.Getenv("TERM") != "dumb"
	}
	return p
}

// asks tells whether there is a person to ask.
func (a *app) asks() bool {
	in, ok := a.env.In.(*os.File)
	if !ok || !term.IsTerminal(int(in.Fd())) {
		return false
	}
	out, ok := a.env.Out.(*os.File)
	return ok && term.IsTerminal(int(out.Fd()))
}

// errBrokenOff is returned when a person stops the program at a question.
var errBrokenOff = errors.New("broken off; nothing was recorded")

// nextLine reads a line that a person types, or returns errBrokenOff when they stop
// the program. There is none at the end of the input.
func nextLine(ctx context.Context, lines *bufio.Scanner) (text string, there bool, err error) {
	more := make(chan bool, 1)
	go func() { more <- lines.Scan() }() // ends with the next line, or with the process
	select {
	case there = <-more:
		if there {
			text = lines.Text()
		}
		return text, there, nil
	case <-ctx.Done():
		return "", false, errBrokenOff
	}
}

func (a *app) errln(text string) { fmt.Fprintln(a.env.Err, text) }

func (p *printer) line(format string, args ...any) { fmt.Fprintf(p.w, format+"\n", args...) }

// heading starts a part of the answer.
func (p *printer) heading(text string) { p.line("%s", p.paint(bold, text)) }

// para writes text wrapped, the first line after first and the others indented
// as far as first is wide.
func (p *printer) para(first, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(first))
	for i, l := range wrap(text, p.width-len(indent)) {
		if i == 0 {
			p.line("%s%s", first, l)
		} else {
			p.line("%s%s", indent, l)
		}
	}
}

// caution writes a caution so that it cannot be missed: a word, not only a
// colour.
func (p *printer) caution(indent, text string) {
	const word = "CAUTION: "
	under := strings.Repeat(" ", len(indent)+2)
	for i, l := range wrap(word+text, p.width-len(under)) {
		if i == 0 {
			rest, _ := strings.CutPrefix(l, strings.TrimSpace(word))
			p.line("%s%s%s", indent, p.paint(yellow, strings.TrimSpace(word)), rest)
		} else {
			p.line("%s%s", under, l)
		}
	}
}

// wrap breaks text at spaces into lines of at most width characters; a longer
// word stands alone.
func wrap(text string, width int) []string {
	var lines []string
	for part := range strings.SplitSeq(text, "\n") {
		line, n := "", 0
		for word := range strings.FieldsSeq(part) {
			w := utf8.RuneCountInString(word)
			switch {
			case line == "":
				line, n = word, w
			case n+1+w <= width:
				line, n = line+" "+word, n+1+w
			default:
				lines = append(lines, line)
				line, n = word, w
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// cut shortens text to width characters.
func cut(text string, width int) string {
	if utf8.RuneCountInString(text) <= width {
		return text
	}
	r := []rune(text)
	return string(r[:max(0, width-1)]) + "…"
}

// pad fills text up to width characters, cutting what is longer.
func pad(text string, width int) string {
	text = cut(text, width)
	return text + strings.Repeat(" ", width-utf8.RuneCountInString(text))
}

// bar draws a share of width characters in eighths.
func bar(share float64, width int) string {
	eighths := int(share*float64(width)*8 + 0.5)
	full := strings.Repeat("█", eighths/8)
	if rest := eighths % 8; rest > 0 {
		full += string([]rune("▏▎▍▌▋▊▉")[rest-1])
	}
	return full
}

// percent writes a probability for people.
func percent(p float64) string {
	switch {
	case p > 0 && p < 0.005:
		return "<1%"
	case p < 1 && p > 0.995:
		return ">99%"
	}
	return fmt.Sprintf("%.0f%%", 100*p)
}

// minutes writes minutes for people.
func minutes(m float64) string {
	switch {
	case m < 0.75:
		return "½ min"
	case m < 1.5:
		return "1 min"
	}
	return fmt.Sprintf("%.0f min", m)
}

type style string

const (
	bold   style = "1"
	yellow style = "33"
	dim    style = "2"
)

func (p *printer) paint(s style, text string) string {
	if !p.colour || text == "" {
		return text
	}
	return "\x1b[" + string(s) + "m" + text + "\x1b[0m"
}
