package cli

import (
	"context"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// importOptions are what `job import` is told.
type importOptions struct {
	file   string // "-" for standard input
	mapped string // file of a mapping, "" for none
	dryRun bool
}

// name is what the file is called in messages.
func (o *importOptions) name() string {
	if o.file == "-" {
		return "standard input"
	}
	return o.file
}

func newJobImport(a *app) *cobra.Command {
	o := &importOptions{}
	cmd := &cobra.Command{
		Use:   "import FILE.csv",
		Short: "Take in closed jobs from a CSV file",
		Long: `Take in closed jobs from a CSV file, or from standard input with "-", so that
the shop learns from them. The first line names the columns, in any order:

  job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,
  causes,confidence,parts,minutes,callback_of

and, where the file has them, fixes, fix_minutes, note and from: the place that
the parts came from, such as truck-1.

Times are dates such as 2024-11-03 or RFC 3339. Lists are parted by ";":
symptoms as SYMPTOM or SYMPTOM=no, findings as CHECK=RESULT, tried as FIX, parts
as PART=N or "none", causes as CAUSE or unlisted. Of causes parted by "|" it was
one, and nobody knows which. Minutes that a step took stand behind it:
CHECK=RESULT@4, FIX@15. A result found after a tried fix stands behind it in
tried, as CHECK=RESULT. callback_of is the earlier job when the trouble came
back; it is the row's own job when that job was opened again.

A table in the shop's own words is read with --map, a small file that says which
heading stands for which column and what the words mean:

  schema: 1
  dates: M/D/YYYY
  columns: {job: Ticket, opened: Date in, closed: Date out, family: Unit,
    complaint: [Customer says, Office note], causes: Found, minutes: Time}
  values:
    family: {Oil fired: oil-furnace}
    causes: {Nozzle dirty: nozzle-plugged, "?": unlisted}
  defaults: {confidence: 0.8}

It may also set separator (comma, semicolon, tab, pipe), list (semicolon, comma,
slash, plus, pipe, line), decimal (point, comma) and encoding (utf-8,
windows-1252). Where the cells under a heading hold the results of one check or
symptom, write it under findings or symptoms as ID=HEADING. A shop without job
numbers names several headings for job, which together tell two jobs apart. A
word mapped to "nothing" is passed over. Begin with --dry-run: it shows how the
first rows are understood, counts the words that the base does not have, and
writes the lines that map them.

A bad row is named with its line and column; the good ones are taken in. Nothing
is taken in twice, so put the bad rows right and import the file again.`,
		Example: `  sootsayer job import jobs.csv
  sootsayer job import tickets.csv --map map.yaml --dry-run
  sootsayer job export | sootsayer --store copy job import -`,
		Args: argsBetween(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.file = args[0]
			return runJobImport(cmd, a, o)
		},
		ValidArgsFunction: completeCSV,
	}
	f := cmd.Flags()
	f.StringVar(&o.mapped, "map", "", "a file that says how the shop's own table is read")
	f.BoolVar(&o.dryRun, "dry-run", false, "show how the file is understood; record nothing")
	if err := cmd.MarkFlagFilename("map", "yaml", "yml"); err != nil {
		panic(err) // the flag is missing: a mistake in this package
	}
	return cmd
}

func completeCSV(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"csv"}, cobra.ShellCompDirectiveFilterFileExt
}

// importedJSON is the JSON answer of an import.
type importedJSON struct {
	File string `json:"file"`
	shop.Imported
	problemList
}

// problemList keeps the first problems of a file's rows.
type problemList struct {
	Problems []shop.RowProblem `json:"problems"`
	More     int               `json:"more_problems,omitempty"` // beyond those listed
	most     int
}

func (l *problemList) add(p shop.RowProblem) {
	if len(l.Problems) < l.most {
		l.Problems = append(l.Problems, p)
	} else {
		l.More++
	}
}

// mostProblems is how many problems an answer in JSON lists, so that it stays
// small however long the file is.
const mostProblems = 1000

func runJobImport(cmd *cobra.Command, a *app, o *importOptions) error {
	in, size, err := a.openInput(o.file, "the jobs")
	if err != nil {
		return err
	}
	defer in.Close()
	read := shop.ImportOptions{File: o.name()}
	cfg := a.config(cmd, !o.dryRun)
	cfg.Before = func(b *kb.Base) (err error) {
		if o.mapped != "" {
			read.Map, err = readMapping(o.mapped, b)
		}
		return err
	}
	s, err := shop.Open(cfg)
	if err != nil {
		return err
	}
	defer s.Close()
	bar := a.progressBar("reading "+read.File, size)
	read.Progress = bar.show
	if o.dryRun {
		return a.dryRunImport(cmd.Context(), s, in, o, read, bar)
	}
	return a.importJobs(cmd.Context(), s, in, read, bar)
}

func readMapping(file string, b *kb.Base) (*shop.Mapping, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("the mapping cannot be read: %w", err)
	}
	return shop.ReadMapping(file, text, b)
}

func (a *app) importJobs(ctx context.Context, s *shop.Shop, in io.Reader, read shop.ImportOptions, bar *progressBar) error {
	problems := problemList{Problems: []shop.RowProblem{}, most: mostProblems}
	read.Problem = func(p shop.RowProblem) {
		if a.json {
			problems.add(p)
			return
		}
		bar.clear()
		a.errln(p.Error())
	}
	did, err := s.ImportJobs(ctx, in, read)
	bar.clear()
	if err != nil {
		if did.Imported > 0 {
			err = fmt.Errorf("%w\n%d rows before that were imported", err, did.Imported)
		}
		return err
	}
	if a.json {
		err = a.printJSON(importedJSON{File: read.File, Imported: did, problemList: problems})
	} else {
		a.tellImported(&did, read.File)
	}
	if err == nil && did.Bad > 0 {
		err = fmt.Errorf("%s: %s not imported; put right what is said above and import the file again", read.File, countedAs(did.Bad, "row was", "rows were"))
		if read.Map == nil {
			err = fmt.Errorf("%w\nif the file has words of its own, map them: sootsayer job import FILE.csv --map MAP.yaml --dry-run", err)
		}
	}
	return err
}

// openInput opens a file that holds what, or standard input for "-"; the size is
// 0 where it is not known.
func (a *app) openInput(file, what string) (io.ReadCloser, int64, error) {
	if file == "-" {
		return io.NopCloser(a.env.In), 0, nil
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, 0, fmt.Errorf("%s cannot be read: %w", what, err)
	}
	var size int64
	if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
		size = info.Size()
	}
	return f, size, nil
}

// tellImported says what became of the file.
func (a *app) tellImported(did *shop.Imported, name string) {
	p := a.printer()
	var by []string
	for _, family := range slices.Sorted(maps.Keys(did.Families)) {
		by = append(by, fmt.Sprintf("%d %s", did.Families[family], family))
	}
	text := fmt.Sprintf("Imported %s from %s", counted(did.Imported, "closed job"), name)
	if len(by) > 0 {
		text += ": " + strings.Join(by, ", ")
	}
	p.para("", text+".")
	if did.Already > 0 {
		p.line("  %s there already and unchanged.", countedAs(did.Already, "row was", "rows were"))
	}
	if did.Imported > 0 {
		p.line("  See what was learned: sootsayer priors")
	}
}
