package cli

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

// exportOptions are what `job export` is told.
type exportOptions struct {
	file    string // "" and "-" for standard output
	replace bool
	all     bool // the columns too that a file may leave out
}

func (o *exportOptions) toFile() bool { return o.file != "" && o.file != "-" }

func newJobExport(a *app) *cobra.Command {
	o := &exportOptions{}
	cmd := &cobra.Command{
		Use:   "export [FILE.csv]",
		Short: "Write the closed jobs as CSV",
		Long: `Write the closed jobs as CSV, to standard output or to a file, in the columns
that "sootsayer job import" reads. A job that was opened again has a row for each
of its closings. Open jobs are left out. With --json the whole jobs are written.

With --all-columns there are four more: fixes (what was done in the end),
fix_minutes, note and from (the place that the parts came from). The columns do
not hold who did what and when in the course of a job, and how the equipment
stood: to keep a copy of everything use "sootsayer backup".`,
		Example: `  sootsayer job export > jobs.csv
  sootsayer job export jobs.csv --all-columns --replace`,
		Args: argsBetween(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				o.file = args[0]
			}
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runJobExport(a, s, o) })
		},
		ValidArgsFunction: completeCSV,
	}
	cmd.Flags().BoolVar(&o.replace, "replace", false, "write over a file that is there")
	cmd.Flags().BoolVar(&o.all, "all-columns", false, "write fixes, fix_minutes, note and from too")
	return cmd
}

func runJobExport(a *app, s *shop.Shop, o *exportOptions) error {
	var did shop.Exported
	write := func(w io.Writer) (err error) {
		if a.json {
			did, err = writeJobs(s, w)
		} else {
			did, err = s.ExportJobs(w, o.all)
		}
		return err
	}
	var err error
	if o.toFile() {
		err = writeFile(o.file, o.replace, write)
	} else {
		err = write(a.env.Out)
	}
	if err != nil {
		return err
	}
	a.tellExported(s, o, did)
	return nil
}

// tellExported says on standard error what was written and left out.
func (a *app) tellExported(s *shop.Shop, o *exportOptions, did shop.Exported) {
	if o.toFile() {
		a.errln(fmt.Sprintf("Wrote %s to %s.", counted(did.Jobs, "closed job"), o.file))
	}
	switch {
	case did.Jobs == 0 && did.Open == 0:
		a.notice(fmt.Sprintf("no job is recorded in %s", s.Dir()))
	case did.Open > 0:
		a.notice(fmt.Sprintf("%s left out; what is not closed is not exported", countedAs(did.Open, "open job was", "open jobs were")))
	}
}

// writeJobs writes the closed jobs as a JSON list, one after the other.
func writeJobs(s *shop.Shop, w io.Writer) (shop.Exported, error) {
	var did shop.Exported
	out := bufio.NewWriter(w)
	out.WriteString("[")
	if s.Journal() != nil {
		for j, err := range s.Journal().Jobs() {
			if err != nil {
				return did, err
			}
			if !j.Closed() {
				did.Open++
				continue
			}
			text, err := json.Marshal(j)
			if err != nil {
				return did, err
			}
			if did.Jobs++; did.Jobs > 1 {
				out.WriteString(",")
			}
			out.WriteString("\n  ")
			out.Write(text)
		}
	}
	out.WriteString("\n]\n")
	did.Rows = did.Jobs
	return did, out.Flush() // the first error of all writes
}

// writeFile writes a file as a whole or not at all: under another name first. A
// file that is there is kept unless it may be replaced.
func writeFile(name string, replace bool, write func(io.Writer) error) error {
	if _, err := os.Lstat(name); err == nil && !replace {
		return fmt.Errorf("%s is there already; write to another file, or add --replace", name)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("the file cannot be written: %w", err)
	}
	tmp, err := os.CreateTemp(filepath.Dir(name), filepath.Base(name)+".*.tmp")
	if err != nil {
		return fmt.Errorf("the file cannot be written: %w", err)
	}
	err = errors.Join(write(tmp), tmp.Chmod(0o644), tmp.Sync(), tmp.Close())
	if err == nil {
		err = os.Rename(tmp.Name(), name)
	}
	if err != nil {
		os.Remove(tmp.Name())
		return fmt.Errorf("%s was not written: %w", name, err)
	}
	return nil
}
