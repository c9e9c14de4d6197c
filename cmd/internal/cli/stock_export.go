package cli

import (
	"encoding/json"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockExport(a *app) *cobra.Command {
	o, place := &exportOptions{}, ""
	cmd := &cobra.Command{
		Use:   "export [FILE.csv]",
		Short: "Write what is on hand and on order as CSV",
		Long: `Write what is on hand and on order as CSV, to standard output or to a file: place,
part, qty, counted, on_order, name. "sootsayer stock count" reads the file again,
so it can be carried round the shelves, corrected and taken in as a count.`,
		Example: `  sootsayer stock export > stock.csv
  sootsayer stock export truck-1.csv --place truck-1 --replace`,
		Args: argsBetween(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				o.file = args[0]
			}
			return a.withShop(cmd, false, func(s *shop.Shop) error { return a.exportStock(s, o, place) })
		},
		ValidArgsFunction: completeCSV,
	}
	cmd.Flags().BoolVar(&o.replace, "replace", false, "write over a file that is there")
	cmd.Flags().StringVar(&place, "place", "", "only what is there")
	a.complete(cmd, map[string]completion{"place": completePlaces})
	return cmd
}

func (a *app) exportStock(s *shop.Shop, o *exportOptions, place string) error {
	if place != "" {
		if _, err := s.Place(place, false); err != nil {
			return wrongUse(err)
		}
	}
	rows := 0
	write := func(w io.Writer) (err error) {
		if a.json {
			rows, err = writeStock(s, w, place)
		} else {
			rows, err = s.ExportStock(w, place)
		}
		return err
	}
	if !o.toFile() {
		if err := write(a.env.Out); err != nil {
			return err
		}
	} else {
		if err := writeFile(o.file, o.replace, write); err != nil {
			return err
		}
		a.errln(fmt.Sprintf("Wrote %s to %s.", counted(rows, "row"), o.file))
	}
	if rows == 0 {
		a.notice("nothing is counted and nothing is on order")
	}
	return nil
}

// writeStock writes what `stock list` answers.
func writeStock(s *shop.Shop, w io.Writer, place string) (int, error) {
	list, err := stockList(s, nil, place, false)
	if err != nil {
		return 0, err
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return len(list), enc.Encode(list)
}
