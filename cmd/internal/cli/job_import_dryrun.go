package cli

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"sootsayer/cmd/internal/shop"
)

// dryRunJSON is the JSON answer of a dry run.
type dryRunJSON struct {
	File string `json:"file"`
	Dry  bool   `json:"dry_run"`
	shop.DryRun
	problemList
}

// Bounds of what a dry run shows to a person.
const (
	mostDryProblems = 10
	mostDryWords    = 20
)

// dryRunImport shows how a file would be taken in.
func (a *app) dryRunImport(ctx context.Context, s *shop.Shop, in io.Reader, o *importOptions, read shop.ImportOptions, bar *progressBar) error {
	problems := problemList{Problems: []shop.RowProblem{}, most: mostProblems}
	if !a.json {
		problems.most = mostDryProblems
	}
	read.Problem = func(p shop.RowProblem) {
		if a.json || p.Word == "" { // words are listed by themselves
			problems.add(p)
		}
	}
	did, err := s.DryRunJobs(ctx, in, read)
	bar.clear()
	switch {
	case err != nil:
		return err
	case a.json:
		err = a.printJSON(dryRunJSON{File: read.File, Dry: true, DryRun: did, problemList: problems})
	default:
		a.tellDryRun(&did, &problems, o, read.File)
	}
	if err == nil && did.Bad > 0 {
		err = fmt.Errorf("%s: %s of %d would not be imported; nothing was recorded", read.File, countedAs(did.Bad, "row", "rows"), did.Rows)
	}
	return err
}

// tellDryRun shows how a file would be taken in: the first rows, what is wrong,
// and what to do.
func (a *app) tellDryRun(did *shop.DryRun, problems *problemList, o *importOptions, name string) {
	p := a.printer()
	p.para("", fmt.Sprintf("How %s would be taken in; nothing is recorded.", name))
	for i := range did.First {
		p.dryRow(&did.First[i])
	}
	p.line("")
	p.heading(fmt.Sprintf("%s: %d good, %d there already, %d bad", counted(did.Rows, "row"), did.Good, did.Already, did.Bad))
	if len(did.Unread) > 0 {
		p.para("  Nobody reads the headings: ", strings.Join(did.Unread, ", "))
	}
	if did.Dates != "" {
		p.para("  Mind the dates: ", fmt.Sprintf("each of them can be read as %s as well; see above whether day and month are right.", did.Dates))
	}
	if len(problems.Problems) > 0 {
		p.line("")
		p.heading("Bad rows")
		for _, bad := range problems.Problems {
			p.para("  ", bad.Error())
		}
		if problems.More > 0 {
			p.line("  and %d more", problems.More)
		}
	}
	p.dryWords(did, o)
	if did.Bad == 0 && did.Good > 0 {
		p.line("  Take them in with the same command without --dry-run.")
	}
}

// dryRow shows a row as it was understood, one column a line.
func (p *printer) dryRow(row *shop.DryRow) {
	p.line("")
	state := "good"
	if len(row.Wrong) > 0 {
		state = "bad"
	}
	p.heading(fmt.Sprintf("Row in line %d (%s)", row.Line, state))
	const width = 13 // of the longest name of a column, and a space
	for _, c := range row.Columns {
		text := c.Value
		switch {
		case c.Value == "":
			text = fmt.Sprintf("(nothing, from %q)", c.From)
		case c.From != "":
			text = fmt.Sprintf("%s (from %q)", c.Value, c.From)
		}
		p.para("  "+pad(c.Column, width), breakable(text, p.width-width-2))
	}
	for _, bad := range row.Wrong {
		p.para("  "+pad("! "+bad.Column, width), bad.What)
	}
}

// breakable lets a long list be wrapped at the marks between its entries.
func breakable(text string, width int) string {
	if utf8.RuneCountInString(text) <= width || strings.Contains(text, " ") {
		return text
	}
	return strings.ReplaceAll(text, ";", "; ")
}

// dryWords lists the words that the base does not have, and writes the lines
// that map them.
func (p *printer) dryWords(did *shop.DryRun, o *importOptions) {
	if len(did.Unknown) == 0 {
		return
	}
	p.line("")
	p.heading("Words that the base does not have")
	p.line("  %5s  %-11s %-28s %s", "times", "column", "word", "nearest")
	shown := did.Unknown[:min(len(did.Unknown), mostDryWords)]
	for _, w := range shown {
		near := w.Nearest
		if near == "" {
			near = "-"
		}
		p.line("  %5d  %-11s %s %s", w.Times, w.Column, pad(w.Word, 28), cut(near, p.width-49))
	}
	if n := len(did.Unknown) - len(shown); n > 0 {
		p.line("  and %d more words", n)
	}
	file := o.mapped
	if file == "" {
		file = "a file for --map, below the line schema: 1"
	}
	p.line("")
	p.para("", fmt.Sprintf("To map them, look these lines over and put them into %s:", file))
	p.line("")
	for line := range strings.Lines(did.Values) {
		p.line("%s", strings.TrimRight(line, "\n"))
	}
	if slices.ContainsFunc(did.Unknown, func(w shop.Unknown) bool { return w.Nearest == "" }) {
		p.line("")
		p.para("", `Nothing is near to the words behind a #: find their ids with "sootsayer base list" and take the # out. Write "nothing" for a word that tells nothing.`)
	}
}
