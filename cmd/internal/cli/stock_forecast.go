package cli

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/picture"
	"sootsayer/cmd/internal/shop"
	"sootsayer/kb/stock"
)

// stockForecastOptions are what `stock forecast` is asked.
type stockForecastOptions struct {
	days       int
	degreeDays string
	plot       string
	replace    bool
	all        bool
}

// mostForecastDays is five years.
const mostForecastDays = 5 * 366

func newStockForecast(a *app) *cobra.Command {
	o := &stockForecastOptions{}
	cmd := &cobra.Command{
		Use:   "forecast [PART] [--days N] [--degree-days FILE.csv] [--plot FILE.svg|png]",
		Short: "What will be used in the days to come, and how sure that is",
		Long: `What will be used in the days to come, and how sure that is: 90% says that no
more than that will be used in 90 of 100 cases. Every part of the base has a
forecast, also one that was never used: how many calls come, what their causes
are and which parts their fixes take is known of all. Beside that stand the usual
methods for parts that move slowly; which one was closest on the part's own past
and on parts like it decides, and the reason is shown.

With a PART: its history, the fan of the days to come, every method and when to
order. --plot draws that. --degree-days makes the calls follow the cold: a table
with the columns month (1 to 12, or 2026-01) and hdd, heating degree days with
base 65 F; where it holds several places write FILE.csv#PLACE.`,
		Example: `  sootsayer stock forecast --days 90
  sootsayer stock forecast nozzle-085-80-hollow --days 180 --plot nozzle.svg
  sootsayer stock forecast --days 30 --degree-days degree-days.csv#AnnArbor`,
		Args: argsBetween(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runStockForecast(a, s, args, o) })
		},
		ValidArgsFunction: a.completing(completePartNames),
	}
	f := cmd.Flags()
	f.IntVar(&o.days, "days", 90, "how many days to look ahead")
	f.StringVar(&o.degreeDays, "degree-days", "", "heating degree days by month, as CSV")
	f.StringVar(&o.plot, "plot", "", "draw a PART's picture to a file that ends in .svg or .png")
	f.BoolVar(&o.replace, "replace", false, "write over a picture that is there")
	f.BoolVar(&o.all, "all", false, "list parts too of which none will be used in 95 of 100 cases")
	return cmd
}

// forecastJSON is a row of the answer.
type forecastJSON struct {
	stock.Forecast
	Name string `json:"name"`
	// With a PART only:
	ReorderPoint *int        `json:"reorder_point,omitempty"` // order when fewer are on hand and on order
	History      *usedMonths `json:"history,omitempty"`
}

// usedMonths is what was used by month; -1 where nothing is known.
type usedMonths struct {
	First  string `json:"first"`
	Pieces []int  `json:"pieces"`
}

func (o *stockForecastOptions) check(args []string) (format string, err error) {
	switch {
	case o.days < 1 || o.days > mostForecastDays:
		return "", usagef("--days %d cannot be; write a number from 1 to %d", o.days, mostForecastDays)
	case o.plot == "":
		return "", nil
	case len(args) == 0:
		return "", usagef("--plot draws one part; name it")
	}
	format, err = picture.Format(o.plot)
	return format, wrongUse(err)
}

func runStockForecast(a *app, s *shop.Shop, args []string, o *stockForecastOptions) error {
	format, err := o.check(args)
	if err != nil {
		return err
	}
	part := ""
	if len(args) > 0 {
		if part, err = shop.ParsePart(s.Base(), args[0], a.notice); err != nil {
			return wrongUse(err)
		}
	}
	degrees, err := a.degreeDays(o.degreeDays)
	if err != nil {
		return err
	}
	d, err := s.Demand(shop.DemandOptions{DegreeDays: degrees})
	if err != nil {
		return err
	}
	if part == "" {
		rows := forecastRows(d, o.days)
		if a.json {
			return a.printJSON(rows)
		}
		a.printer().forecastTable(d, rows, o)
		return nil
	}
	return a.forecastPart(s, d, part, o, format)
}

// forecastPart answers for one part.
func (a *app) forecastPart(s *shop.Shop, d *shop.Demand, part string, o *stockForecastOptions, format string) error {
	how := shop.UsualOrder()
	how.Parts = []string{part}
	orders, err := s.Order(d, how)
	if err != nil {
		return err
	}
	order := &orders[0]
	if o.plot != "" {
		draw := func(w io.Writer) error { return plotForecast(w, format, s, d, order, o.days) }
		if err := writeFile(o.plot, o.replace, draw); err != nil {
			return err
		}
		defer func() { a.errln(fmt.Sprintf("Drew %s.", o.plot)) }()
	}
	h := d.History(part)
	row := forecastJSON{Forecast: d.Forecast(part, o.days), Name: order.Name, ReorderPoint: &order.ReorderPoint,
		History: &usedMonths{h.First.String(), append([]int{}, h.Pieces...)}}
	if a.json {
		return a.printJSON([]forecastJSON{row})
	}
	a.printer().forecastCard(s, d, &row, order)
	return nil
}

// degreeDays reads FILE or FILE#PLACE; "" for none.
func (a *app) degreeDays(file string) (*stock.DegreeDays, error) {
	if file == "" {
		return nil, nil
	}
	name, place := file, ""
	if i := strings.LastIndexByte(file, '#'); i > 0 {
		name, place = file[:i], file[i+1:]
	}
	in, _, err := a.openInput(name, "the degree days")
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return shop.ReadDegreeDays(name, in, place)
}

// forecastRows are the forecasts of all parts, those used most first.
func forecastRows(d *shop.Demand, days int) []forecastJSON {
	list := d.Forecasts(days)
	rows := make([]forecastJSON, len(list))
	for i := range list {
		rows[i] = forecastJSON{Forecast: list[i], Name: d.Name(list[i].Part)}
	}
	slices.SortStableFunc(rows, func(a, b forecastJSON) int { return cmp.Compare(b.Mean, a.Mean) })
	return rows
}
