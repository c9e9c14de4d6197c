package cli

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockCount(a *app) *cobra.Command {
	w, place := &pieceWords{a: a, rule: shop.FoundPieces}, &placeFlag{}
	cmd := &cobra.Command{
		Use:   "count PLACE PART=N... | FILE.csv",
		Short: "Record what was found at a place",
		Long: `Record what was found at a place, or at several from a CSV file ("-" for standard
input) with the columns place, part, qty and, where it has one, date. A count is
held against what the books say; the difference is shown and kept, and from then
on the count is what is there. Parts that are not named stay as they are; write
PART=0 for those that are gone.

A row of the file without a number is passed over, so that the table written by
"sootsayer stock export" can be filled in by hand. With a date a row is recorded
once, however often the file is read; without one it is a count of now.`,
		Example: `  sootsayer stock count shelf nozzle-085-80-hollow=6 flame-eye=0
  sootsayer stock count truck-1 flame-eye=2 --new-place
  sootsayer stock count shelf flame-eye=2 --at 2026-01-15
  sootsayer stock count shelf.csv`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if isFile(args[0]) {
				if len(args) > 1 || w.when != "" {
					return usagef("a file is read by itself; say when its rows were counted in a column named date")
				}
				return a.countFile(cmd, args[0], place.fresh)
			}
			place.name = args[0]
			if len(args) < 2 || strings.Contains(args[0], "=") {
				return usagef("write the place, then what is there: sootsayer stock count shelf %s", exampleCount(args))
			}
			return w.record(cmd, args[1:], func(s *shop.Shop, at time.Time, pieces []shop.Pieces) error {
				where, err := place.in(s)
				if err != nil {
					return err
				}
				lines, err := s.Count(where, at, pieces)
				if err != nil {
					return err
				}
				return a.printStockLines("Counted at "+where, lines, countedWords)
			})
		},
	}
	w.defineWhen(cmd)
	place.defineNew(cmd)
	cmd.ValidArgsFunction = a.completingOrCSV(func(s *shop.Shop, args []string, typed string) []string {
		if len(args) == 0 {
			return completePlaces(s, "", typed)
		}
		return completeParts(s, "", typed)
	})
	return cmd
}

// exampleCount shows how the arguments are meant.
func exampleCount(args []string) string {
	for _, word := range args {
		if strings.Contains(word, "=") {
			return word
		}
	}
	return "PART=4"
}

// isFile tells files from PART=N, and from places and parts, which hold neither
// dots nor slashes.
func isFile(arg string) bool {
	return arg == "-" || strings.ContainsAny(arg, `./\`) && !strings.Contains(arg, "=")
}

// countedWords say how a count stands to the books.
func countedWords(l *shop.StockLine) string {
	text := "first count: its books begin here"
	switch {
	case l.Off == nil:
	case *l.Off == 0:
		text = "as the books said"
	case *l.Off < 0:
		text = fmt.Sprintf("the books said %s: %s missing", pieces(*l.Said), pieces(-*l.Off))
	default:
		text = fmt.Sprintf("the books said %s: %s more", pieces(*l.Said), pieces(*l.Off))
	}
	if l.OnHand != nil && *l.OnHand != l.Qty {
		text += fmt.Sprintf("; with what came since, %s now", pieces(*l.OnHand))
	}
	return text
}

// countsJSON is the JSON answer for a file of counts.
type countsJSON struct {
	File string `json:"file"`
	shop.CountsRead
	problemList
}

func (a *app) countFile(cmd *cobra.Command, file string, fresh bool) error {
	var did shop.CountsRead
	return a.readStockFile(cmd, file, stockFileReading{
		read: func(s *shop.Shop, name string, in io.Reader, problem func(shop.RowProblem)) (bad int, err error) {
			did, err = s.CountFile(cmd.Context(), name, in, fresh, problem)
			return did.Bad, err
		},
		json: func(name string, problems problemList) any { return countsJSON{name, did, problems} },
		text: func(name string) {
			p := a.printer()
			p.line("Took in %s from %s.", counted(did.Counted, "count"), name)
			if did.Already > 0 {
				p.line("  %s there already.", countedAs(did.Already, "row was", "rows were"))
			}
			if did.Left > 0 {
				p.line("  %s no number and was passed over.", countedAs(did.Left, "row has", "rows have"))
			}
			a.tellDifferences(did.Lines)
		},
	})
}

// tellDifferences lists the counts that disagree with the books.
func (a *app) tellDifferences(lines []shop.StockLine) {
	var off []shop.StockLine
	agree, first := 0, 0
	for _, l := range lines {
		switch {
		case l.Off == nil:
			first++
		case *l.Off == 0:
			agree++
		default:
			off = append(off, l)
		}
	}
	p := a.printer()
	if first > 0 {
		p.line("  %s books begin here.", countedAs(first, "is a first count: its", "are first counts: their"))
	}
	if agree > 0 {
		p.line("  %s with the books.", countedAs(agree, "agrees", "agree"))
	}
	if len(off) > 0 {
		p.line("  %s not agree with the books:", countedAs(len(off), "does", "do"))
		p.stockLines(off, func(l *shop.StockLine) string { return l.Place + ": " + countedWords(l) })
	}
}
