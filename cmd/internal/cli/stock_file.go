package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

// stockFileReading is how a file about parts is read and what is said of it.
type stockFileReading struct {
	read func(s *shop.Shop, name string, in io.Reader, problem func(shop.RowProblem)) (bad int, err error)
	json func(name string, problems problemList) any
	text func(name string)
}

// readStockFile reads a file, "-" for standard input: bad rows are told, the good
// ones are recorded.
func (a *app) readStockFile(cmd *cobra.Command, file string, r stockFileReading) error {
	in, _, err := a.openInput(file, "the file")
	if err != nil {
		return err
	}
	defer in.Close()
	o := importOptions{file: file}
	return a.withShop(cmd, true, func(s *shop.Shop) error {
		problems := problemList{Problems: []shop.RowProblem{}, most: mostProblems}
		bad, err := r.read(s, o.name(), in, func(p shop.RowProblem) {
			if a.json {
				problems.add(p)
				return
			}
			a.errln(p.Error())
		})
		if err != nil {
			return err
		}
		if a.json {
			err = a.printJSON(r.json(o.name(), problems))
		} else {
			r.text(o.name())
		}
		if err == nil && bad > 0 {
			err = fmt.Errorf("%s: %s not recorded; put right what is said above and read the file again", o.name(), countedAs(bad, "row was", "rows were"))
		}
		return err
	})
}
