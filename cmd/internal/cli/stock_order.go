package cli

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// stockOrderOptions are what `stock order` is asked.
type stockOrderOptions struct {
	service       float64
	budget        float64
	supplier      string
	review, cover int
	economic      bool
	holding       float64
	trip, rate    float64
	out           string
	replace       bool
	all           bool
	budgetGiven   bool
}

// What keeping parts and second trips cost where nothing else is said. Common
// practice, no source: a quarter of the price a year for money, room and what
// goes stale; an hour and a half for a second trip, at 1.50 a minute; five
// minutes for each part that is ordered, received and put away.
const (
	usualHolding   = 0.25
	usualTrip      = 90
	usualRate      = 1.5
	minutesPerLine = 5
)

func newStockOrder(a *app) *cobra.Command {
	o := &stockOrderOptions{}
	usual := shop.UsualOrder()
	cmd := &cobra.Command{
		Use:   "order [PART...] [--service P] [--budget MONEY] [--supplier S] [--out FILE.csv]",
		Short: "What to order, why, and what is short now",
		Long: `What to order, why, and what is short now. Parts are ordered once every so many
days (--review). A part is ordered when there are fewer on hand and on order than
last, with the service asked for, until the order after this one can be here; then
it is filled up for some days more (--cover), in whole packs. Critical parts last
with 0.99 at least. What open jobs may take is counted on top.

With --budget the packs come first that are expected to save most missing pieces
for their money. --economic orders by what costs least in a year: keeping a piece
costs a share of its price (--holding), and a piece that is missing costs a second
trip (--trip minutes at --rate a minute); what the service would order is shown
beside it. With parts named, the reasons of each are printed; --json gives them
for all. --out writes the list for the supplier. Nothing is ordered by this: once
you did, record it with "sootsayer stock on-order".`,
		Example: `  sootsayer stock order
  sootsayer stock order --budget 800 --out order.csv
  sootsayer stock order nozzle-085-80-hollow flame-eye
  sootsayer stock order --economic --trip 60 --rate 1.25`,
		Args: argsBetween(0, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.budgetGiven = cmd.Flags().Changed("budget")
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runStockOrder(a, s, args, o) })
		},
		ValidArgsFunction: a.completing(completePartNames),
	}
	f := cmd.Flags()
	f.Float64Var(&o.service, "service", usual.Service, "chance with which the stock has to last, between 0 and 1")
	f.Float64Var(&o.budget, "budget", 0, "spend at most this much money")
	f.StringVar(&o.supplier, "supplier", "", "only what this supplier has")
	f.IntVar(&o.review, "review", usual.ReviewDays, "days from one order to the next")
	f.IntVar(&o.cover, "cover", usual.CoverDays, "days more that an order is made for")
	f.BoolVar(&o.economic, "economic", false, "order by what costs least")
	f.Float64Var(&o.holding, "holding", usualHolding, "what keeping a piece for a year costs, as a share of its price")
	f.Float64Var(&o.trip, "trip", usualTrip, "minutes that a second trip takes")
	f.Float64Var(&o.rate, "rate", usualRate, "what a minute costs")
	f.StringVar(&o.out, "out", "", "write what to order to a file, as CSV")
	f.BoolVar(&o.replace, "replace", false, "write over a file that is there")
	f.BoolVar(&o.all, "all", false, "list parts too that need no order")
	a.complete(cmd, map[string]completion{"supplier": completeSuppliers})
	return cmd
}

func completeSuppliers(s *shop.Shop, _, _ string) []string { return shop.Suppliers(s.Base()) }

// read turns the options into what the shop is asked.
func (o *stockOrderOptions) read(a *app, s *shop.Shop, words []string) (shop.OrderOptions, error) {
	ask := shop.OrderOptions{Service: o.service, ReviewDays: o.review, CoverDays: o.cover, Budget: math.Inf(1), Supplier: o.supplier}
	if o.budgetGiven {
		ask.Budget = o.budget
	}
	if o.economic {
		ask.Costs = &stock.Costs{Holding: o.holding, Trip: o.trip * o.rate, Line: minutesPerLine * o.rate}
	}
	if have := shop.Suppliers(s.Base()); o.supplier != "" && !kb.In(have, o.supplier) {
		if len(have) == 0 {
			return ask, usagef("the base names no suppliers; give its parts a supplier, as in supplier: %s", o.supplier)
		}
		return ask, kb.UnknownID("supplier", o.supplier, have)
	}
	for _, word := range words {
		part, err := shop.ParsePart(s.Base(), word, a.notice)
		if err != nil {
			return ask, wrongUse(err)
		}
		ask.Parts = append(ask.Parts, part)
	}
	if o.out != "" && !strings.EqualFold(filepath.Ext(o.out), ".csv") {
		return ask, usagef("--out %s: the list for the supplier is CSV; let its name end in .csv", o.out)
	}
	return ask, wrongUse(ask.Check())
}

func runStockOrder(a *app, s *shop.Shop, words []string, o *stockOrderOptions) error {
	ask, err := o.read(a, s, words)
	if err != nil {
		return err
	}
	d, err := s.Demand(shop.DemandOptions{})
	if err != nil {
		return err
	}
	rows, err := s.Order(d, ask)
	if err != nil {
		return err
	}
	if o.out != "" {
		var lines int
		err := writeFile(o.out, o.replace, func(w io.Writer) (err error) {
			lines, err = shop.WriteOrder(w, s.Base(), rows)
			return err
		})
		if err != nil {
			return err
		}
		defer func() { a.errln(fmt.Sprintf("Wrote %s to %s.", counted(lines, "part"), o.out)) }()
	}
	if a.json {
		return a.printJSON(rows)
	}
	p := a.printer()
	if len(words) > 0 {
		p.orderCards(s, d, rows, &ask)
		return nil
	}
	p.orderList(s, d, rows, &ask, o)
	return nil
}
