package cli

import (
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

// pieces writes a number of pieces for people.
func pieces(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

// printStockLines prints what was recorded of some parts, and the counts that are
// due.
func (a *app) printStockLines(heading string, lines []shop.StockLine, says func(*shop.StockLine) string) error {
	if a.json {
		return a.printJSON(lines)
	}
	p := a.printer()
	p.line("%s:", heading)
	p.stockLines(lines, says)
	for i := range lines {
		p.countDue(lines[i].Part, lines[i].Place, lines[i].OnHand)
	}
	return nil
}

// countDue says that the books of a part at a place are below zero.
func (p *printer) countDue(part, place string, onHand *float64) {
	if onHand != nil && *onHand < 0 {
		p.para("", fmt.Sprintf("The books of %s at %s say %s. Count it:", part, place, pieces(*onHand)))
		p.line("  sootsayer stock count %s %s=N", place, part)
	}
}

// stockLines writes a row for each part, how many pieces and what is said of it.
func (p *printer) stockLines(lines []shop.StockLine, says func(*shop.StockLine) string) {
	width, number := 0, 0
	for i := range lines {
		width, number = max(width, len(lines[i].Part)), max(number, len(pieces(lines[i].Qty)))
	}
	for i := range lines {
		l := &lines[i]
		p.para(fmt.Sprintf("  %s  %*s  ", pad(l.Part, width), number, pieces(l.Qty)), says(l))
	}
}

// nowThere says what the books of a place say after an act.
func nowThere(onHand *float64, place string) string {
	if onHand == nil {
		return "nothing was counted at " + place + " yet"
	}
	return fmt.Sprintf("%s at %s now", pieces(*onHand), place)
}

// completingOrCSV is completing for words that may be a file in CSV as well.
func (a *app) completingOrCSV(list func(s *shop.Shop, args []string, typed string) []string) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		out, directive := a.completing(func(s *shop.Shop, _, typed string) []string { return list(s, args, typed) })(cmd, args, typed)
		if len(out) == 0 && len(args) == 0 {
			return completeCSV(cmd, args, typed)
		}
		return out, directive
	}
}

func completePlaces(s *shop.Shop, _, _ string) []string {
	books, err := s.Books()
	if err != nil {
		return nil
	}
	return books.Places()
}

// completePartNames offers the parts that are ordered today, without an equals
// sign.
func completePartNames(s *shop.Shop, _, _ string) []string {
	var out []string
	for i := range s.Base().Parts {
		if x := &s.Base().Parts[i]; x.SupersededBy == "" {
			out = append(out, x.ID+"\t"+x.Name)
		}
	}
	return out
}
