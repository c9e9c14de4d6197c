package shop

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"sootsayer/kb"
)

// orderColumns are those of the list for a supplier.
var orderColumns = []string{"supplier", "part", "name", "spec", "qty", "pack", "packs", "unit_cost", "cost"}

// WriteOrder writes what is to be ordered as CSV, for the supplier or for a
// spreadsheet, and returns the number of parts. Cells of prices are empty where
// the base has none.
func WriteOrder(w io.Writer, b *kb.Base, rows []OrderRow) (int, error) {
	out, n := csv.NewWriter(w), 0
	_ = out.Write(orderColumns) // Flush keeps the first error
	for i := range rows {
		r := &rows[i]
		if r.Order == 0 {
			continue
		}
		part, _ := b.Part(r.Part)
		pack := max(1, part.Pack)
		cost, total := "", ""
		if part.UnitCost > 0 {
			cost, total = strconv.FormatFloat(part.UnitCost, 'f', -1, 64), fmt.Sprintf("%.2f", float64(r.Order)*part.UnitCost)
		}
		_ = out.Write([]string{r.Supplier, r.Part, r.Name, part.Spec, strconv.Itoa(r.Order), strconv.Itoa(pack), strconv.Itoa((r.Order + pack - 1) / pack), cost, total})
		n++
	}
	out.Flush()
	return n, out.Error()
}
