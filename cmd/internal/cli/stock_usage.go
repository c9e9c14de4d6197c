package cli

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb/stock"
)

// usageOptions are what `stock usage` is told.
type usageOptions struct {
	pieceWords
	place   placeFlag
	job     string
	repeats bool
}

func newStockUsage(a *app) *cobra.Command {
	o := &usageOptions{pieceWords: pieceWords{a: a, rule: shop.PiecesOrMinus}}
	cmd := &cobra.Command{
		Use:   "usage FILE.csv | PART=N...",
		Short: "Record parts used besides what jobs were closed with",
		Long: `Record parts used besides what jobs were closed with: over the counter, in the
yard, or before the shop kept its jobs here. What a job used is told when it is
closed; with --job it can be added to.

A CSV file ("-" for standard input) has the columns date, part, qty and, where it
has one, place:

  date,part,qty
  2024-01-15,flame-eye,2

A row with 0 pieces says that nothing was used; a month without a row is told,
and forecasts take it for a month of which nothing is known. A bad row is named
with its line, the good ones are recorded, each once however often the file is
read. Two equal rows are taken for a slip; --repeats says that both were used.

Fewer than none was brought back: PART=-1.`,
		Example: `  sootsayer stock usage used-2024.csv
  sootsayer stock usage flame-eye=2 --place truck-1
  sootsayer stock usage flame-eye --job 17`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if isFile(args[0]) {
				return o.file(cmd, args)
			}
			if o.repeats {
				return usagef("--repeats is for files; write how many were used as PART=N")
			}
			if o.job != "" && o.when != "" {
				return usagef("--at goes with uses outside of jobs; what is added to a job is of now")
			}
			return o.record(cmd, args, func(s *shop.Shop, at time.Time, pieces []shop.Pieces) error { return o.use(s, at, pieces) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.place.name, "place", "", "where they were taken (default shelf)")
	f.StringVar(&o.job, "job", "", "the job that used them")
	f.BoolVar(&o.repeats, "repeats", false, "equal rows of the file are uses of their own, and no slip")
	o.defineWhen(cmd)
	a.complete(cmd, map[string]completion{"place": completePlaces, "job": completeAllJobs})
	cmd.ValidArgsFunction = a.completingOrCSV(func(s *shop.Shop, _ []string, typed string) []string { return completeParts(s, "", typed) })
	return cmd
}

func (o *usageOptions) use(s *shop.Shop, at time.Time, pieces []shop.Pieces) error {
	where, err := s.Place(o.place.name, false)
	if err != nil {
		return wrongUse(err)
	}
	var lines []shop.StockLine
	heading := "Used"
	if o.job != "" {
		heading += " on job " + o.job
		lines, err = s.UsePartsOn(o.job, where, pieces)
	} else {
		lines, err = s.UseParts(where, at, pieces)
	}
	if err != nil {
		return err
	}
	return o.a.printStockLines(heading, lines, usedPlaceWords)
}

func usedPlaceWords(l *shop.StockLine) string {
	if l.OnHand == nil {
		return "nothing was counted at " + l.Place + " yet; kept as history"
	}
	return nowThere(l.OnHand, l.Place)
}

// usageJSON is the JSON answer for a file of uses.
type usageJSON struct {
	File string `json:"file"`
	shop.UsageRead
	problemList
}

func (o *usageOptions) file(cmd *cobra.Command, args []string) error {
	if len(args) > 1 || o.job != "" || o.when != "" || o.place.name != "" {
		return usagef("a file is read by itself; it says when and where in its columns date and place")
	}
	var did shop.UsageRead
	return o.a.readStockFile(cmd, args[0], stockFileReading{
		read: func(s *shop.Shop, name string, in io.Reader, problem func(shop.RowProblem)) (bad int, err error) {
			did, err = s.UsageFile(cmd.Context(), name, in, o.repeats, problem)
			return did.Bad, err
		},
		json: func(name string, problems problemList) any { return usageJSON{name, did, problems} },
		text: func(name string) { o.a.tellUsage(&did, name) },
	})
}

// tellUsage says what became of a file of uses.
func (a *app) tellUsage(did *shop.UsageRead, name string) {
	p := a.printer()
	text := fmt.Sprintf("Recorded %s from %s", counted(did.Recorded, "row"), name)
	if did.First != "" {
		text += fmt.Sprintf(": %s, from %s to %s", counted(did.Parts, "part"), did.First, did.Last)
	}
	p.para("", text+".")
	if did.Already > 0 {
		p.line("  %s there already.", countedAs(did.Already, "row was", "rows were"))
	}
	if did.Added > 0 {
		p.para("  ", fmt.Sprintf("%s of a part and day of which other uses were there before: added to them. If that counts something twice, take it back: sootsayer stock usage PART=-N --at DAY",
			countedAs(did.Added, "row is", "rows are")))
	}
	if did.Past > 0 {
		p.para("  ", fmt.Sprintf("%s older than the first count of the part, or of a part nobody counted: history, from which nothing is drawn.",
			countedAs(did.Past, "use is", "uses are")))
	}
	if n := len(did.Missing); n > 0 {
		p.para("  ", fmt.Sprintf("There is no row of %s: %s. That is taken as not known; if nothing was used, say so with a row of 0 pieces.",
			countedAs(n, "month in between", "months in between"), strings.Join(runsOfMonths(did.Missing), ", ")))
	}
}

// runsOfMonths writes months that follow each other as one: 2024-02 to 2024-05.
func runsOfMonths(months []string) []string {
	var out []string
	for i := 0; i < len(months); {
		last := i
		for last+1 < len(months) && follows(months[last], months[last+1]) {
			last++
		}
		text := months[i]
		if last > i {
			text += " to " + months[last]
		}
		out = append(out, text)
		i = last + 1
	}
	return out
}

// follows tells whether a month, as 2024-01, is the one after another.
func follows(a, b string) bool {
	m, err := stock.ParseMonth(a)
	return err == nil && (m+1).String() == b
}
