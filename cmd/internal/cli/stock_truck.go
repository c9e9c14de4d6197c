package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockTruck(a *app) *cobra.Command {
	o := &shop.TruckOptions{Jobs: 1}
	cmd := &cobra.Command{
		Use:   "truck --money N | --slots N [--jobs 6] [--place truck-1]",
		Short: "What a truck should carry to finish most calls on the first visit",
		Long: `What a truck should carry to finish most calls on the first visit, for an amount of
money or for the room of so many slots (a piece takes one slot where the base says
nothing else). A call needs the parts of the fixes of its causes, all of them;
which go together is learned from closed jobs. --jobs says after how many calls the
truck is filled up again: what one call takes is not there for the next.

With --place the kit is held against what that truck carries now: what to add, what
to take out. "adds" is the share of calls that could not be finished without the
part. No kit for the same money or room finishes more calls than the bound that is
printed.`,
		Example: `  sootsayer stock truck --money 600 --jobs 6
  sootsayer stock truck --slots 40 --place truck-1`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := o.Check(); err != nil {
				return usageError{err}
			}
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runStockTruck(a, s, o) })
		},
	}
	f := cmd.Flags()
	f.Float64Var(&o.Money, "money", 0, "what the pieces in the truck may cost")
	f.Float64Var(&o.Slots, "slots", 0, "how many slots the truck has")
	f.IntVar(&o.Jobs, "jobs", 6, "calls from one filling to the next")
	f.StringVar(&o.Place, "place", "", "the truck that it is held against")
	a.complete(cmd, map[string]completion{"place": completePlaces})
	return cmd
}

func runStockTruck(a *app, s *shop.Shop, o *shop.TruckOptions) error {
	if o.Place != "" {
		if _, err := s.Place(o.Place, false); err != nil {
			return wrongUse(err)
		}
	}
	d, err := s.Demand(shop.DemandOptions{})
	if err != nil {
		return err
	}
	t, err := s.Truck(d, *o)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(t)
	}
	a.printer().truck(t, o)
	return nil
}

// truck writes a kit.
func (p *printer) truck(t *shop.Truck, o *shop.TruckOptions) {
	limit := money(o.Money) + " of parts"
	if t.Slots {
		limit = fmt.Sprintf("%g slots", o.Slots)
	}
	p.heading(fmt.Sprintf("What a truck should carry: %s, filled up after %s", limit, counted(t.Jobs, "call")))
	p.para("  ", fmt.Sprintf("Finishes %s of calls on the first visit; no other kit for it finishes more than %s. %s take no parts, and with every part there is it would be %s; the cause of the rest is not listed.",
		share(t.Filled), share(t.Bound), share(t.NoParts), share(t.Most)))
	if t.NowFilled != nil {
		p.para("  ", fmt.Sprintf("%s as it is now, with %s, finishes %s.", t.Place, kitTakes(t, *t.NowCost), share(*t.NowFilled)))
	}
	if len(t.Parts) == 0 {
		p.para("  ", "No part is worth carrying for that little.")
		return
	}
	p.line("")
	p.truckParts(t)
	p.para("  ", fmt.Sprintf("%s in all. adds: calls that could not be finished without the part.", kitTakes(t, t.Cost)))
	if len(t.NoPrice) > 0 {
		p.para("  ", fmt.Sprintf("Left out, for the base has no price for them (unit_cost): %s.", strings.Join(t.NoPrice, ", ")))
	}
}

// kitTakes says how much money or room pieces take.
func kitTakes(t *shop.Truck, cost float64) string {
	if t.Slots {
		return strconv.FormatFloat(math.Round(10*cost)/10, 'f', -1, 64) + " slots"
	}
	return money(cost) + " of parts"
}

func (p *printer) truckParts(t *shop.Truck) {
	takes := "cost"
	if t.Slots {
		takes = "slots"
	}
	head := fmt.Sprintf("  %s %5s %9s %7s %7s", pad("part", 26), "carry", takes, "needed", "adds")
	if t.NowFilled != nil {
		head += fmt.Sprintf(" %5s  %s", "now", "change")
	}
	p.line("%s", head)
	for i := range t.Parts {
		x := &t.Parts[i]
		text := fmt.Sprintf("  %s %5d %9s %7s %7s", pad(x.Part, 26), x.Carry, money(x.Cost), share(x.Wanted), share(x.Adds))
		if x.Now != nil {
			text += fmt.Sprintf(" %5d  %s", *x.Now, changeWords(*x.Change))
		}
		p.line("%s", strings.TrimRight(text, " "))
	}
}

func changeWords(n int) string {
	switch {
	case n > 0:
		return fmt.Sprintf("add %d", n)
	case n < 0:
		return fmt.Sprintf("out %d", -n)
	}
	return ""
}
