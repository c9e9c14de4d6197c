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
)

func newJobImport(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "import FILE.csv",
		Short: "Take in closed jobs from a CSV file",
		Long: `Take in closed jobs from a CSV file, or from standard input with "-", so that
the shop learns from them. The first line names the columns, in any order:

  job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,
  causes,confidence,parts,minutes,callback_of

Times are dates such as 2024-11-03 or RFC 3339. Lists are parted by ";":
symptoms as SYMPTOM or SYMPTOM=no, findings as CHECK=RESULT, tried as FIX, parts
as PART=N, causes as CAUSE or unlisted. A result found after a tried fix stands
behind it in tried, as CHECK=RESULT. callback_of is the earlier job when the
trouble came back; it is the row's own job when that job was opened again.

A bad row is named with its line and column; the good ones are taken in. Nothing
is taken in twice, so put the bad rows right and import the file again.`,
		Example: `  sootsayer job import jobs.csv
  sootsayer job export | sootsayer --store copy job import -`,
		Args: argsBetween(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.withShop(cmd, true, func(s *shop.Shop) error { return runJobImport(cmd.Context(), a, s, args[0]) })
		},
		ValidArgsFunction: completeCSV,
	}
}

func completeCSV(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"csv"}, cobra.ShellCompDirectiveFilterFileExt
}

// importedJSON is the JSON answer of an import.
type importedJSON struct {
	File string `json:"file"`
	shop.Imported
	Problems []shop.RowProblem `json:"problems"`
}

func runJobImport(ctx context.Context, a *app, s *shop.Shop, file string) error {
	in, size, err := a.openInput(file)
	if err != nil {
		return err
	}
	defer in.Close()
	name := file
	if file == "-" {
		name = "standard input"
	}
	bar := a.progressBar("reading "+name, size)
	problems := []shop.RowProblem{}
	did, err := s.ImportJobs(ctx, in, shop.ImportOptions{File: name, Progress: bar.show, Problem: func(p shop.RowProblem) {
		if a.json {
			problems = append(problems, p)
			return
		}
		bar.clear()
		a.errln(p.Error())
	}})
	bar.clear()
	if err != nil {
		if did.Imported > 0 {
			err = fmt.Errorf("%w\n%d rows before that were imported", err, did.Imported)
		}
		return err
	}
	if a.json {
		err = a.printJSON(importedJSON{File: name, Imported: did, Problems: problems})
	} else {
		a.tellImported(&did, name)
	}
	if err == nil && did.Bad > 0 {
		err = fmt.Errorf("%s: %s not imported; put right what is said above and import the file again", name, countedAs(did.Bad, "row was", "rows were"))
	}
	return err
}

// openInput opens a file, or standard input for "-"; the size is 0 where it is
// not known.
func (a *app) openInput(file string) (io.ReadCloser, int64, error) {
	if file == "-" {
		return io.NopCloser(a.env.In), 0, nil
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, 0, fmt.Errorf("the jobs cannot be read: %w", err)
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
