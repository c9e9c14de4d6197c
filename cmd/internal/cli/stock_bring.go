package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newStockBring(a *app) *cobra.Command {
	o := &shop.BringOptions{}
	cmd := a.jobCommand("bring [JOB] [--place truck-1]", "What to load for one job before leaving", false, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error { return runStockBring(a, s, &j, o) })
	cmd.Long = `What to load for one job before leaving: the parts that it may take by what is
known of it now, how likely each is needed and where it lies, and the chance that
the first visit cures - with what the truck carries, with what is loaded, and with
everything that is here. As few parts as will do are loaded to come to a share
(--share) of what all parts here can do.

With one truck in the books it is that one; else name it with --place. Everything
that is not on a truck counts as shelf.

` + safetyNote
	cmd.Example = `  sootsayer stock bring 17
  sootsayer stock bring 17 --place truck-2 --share 0.9`
	cmd.ValidArgsFunction = a.completingJob(nil)
	cmd.Flags().StringVar(&o.Place, "place", "", "the truck that goes")
	cmd.Flags().Float64Var(&o.Share, "share", 0.95, "share of what all parts here can do, up to 1")
	a.complete(cmd, map[string]completion{"place": completePlaces})
	return cmd
}

func runStockBring(a *app, s *shop.Shop, j *kb.Job, o *shop.BringOptions) error {
	ask := *o
	if !(ask.Share > 0 && ask.Share <= 1) {
		return usagef("--share %g cannot be; write a share above 0 and up to 1, such as 0.95", ask.Share)
	}
	var err error
	if ask.Place == "" {
		ask.Place, err = s.OnlyTruck()
	} else {
		_, err = s.Place(ask.Place, false)
		err = wrongUse(err)
	}
	if err != nil {
		return err
	}
	b, err := s.Bring(j, ask)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(b)
	}
	a.printer().bring(s.Base(), j, b)
	return nil
}

// bring writes what to load, with every caution.
func (p *printer) bring(base *kb.Base, j *kb.Job, b *shop.Bringing) {
	family := j.Family
	if f, ok := base.Family(j.Family); ok {
		family = f.Name
	}
	p.heading(fmt.Sprintf("What to bring to job %s - %s", j.ID, family))
	p.bringChances(b)
	p.line("")
	p.bringLoad(b)
	p.bringRest(b)
	for _, text := range b.Holds {
		p.caution("  ", text)
	}
	for _, text := range b.Cautions {
		p.caution("  ", text)
	}
	p.para("  ", fmt.Sprintf("What to do there, with the cautions of each step: sootsayer job sheet %s", j.ID))
}

// bringChances says what loading is worth.
func (p *printer) bringChances(b *shop.Bringing) {
	p.para("  ", fmt.Sprintf("Chance that the first visit cures: %s with what %s, %s with what is loaded below, %s with everything that is here, %s whatever parts it takes. The cause is not listed with %s; the rest are fixes that do not hold.",
		percent(b.Truck), carriedBy(b), percent(b.FirstVisit), percent(b.Here), percent(b.Anything), percent(b.Unlisted)))
	if !b.Counted {
		p.para("  ", "Nothing was counted yet, so nothing seems to be here: sootsayer stock count shelf PART=N...")
	}
}

func carriedBy(b *shop.Bringing) string {
	if b.Place == "" {
		return "an empty truck has"
	}
	return b.Place + " carries"
}

// bringLoad writes what to take from the shelf.
func (p *printer) bringLoad(b *shop.Bringing) {
	first := true
	for i := range b.Parts {
		x := &b.Parts[i]
		if x.Load == 0 {
			continue
		}
		if first {
			p.heading("Load from the shelf")
			p.line("  %5s  %s %7s  %5s  %5s", "load", pad("part", 26), "needed", "truck", "shelf")
			first = false
		}
		p.line("  %5d  %s %7s  %5d  %5d", x.Load, pad(x.Part, 26), percent(x.Probability), x.OnTruck, x.OnShelf)
	}
	if first {
		p.line("  Nothing to load: nothing on the shelf helps enough.")
	}
}

// mostBrought is how many parts are listed besides.
const mostBrought = 12

// bringRest writes the likely parts that need not be loaded: they are on the
// truck, or they are not here.
func (p *printer) bringRest(b *shop.Bringing) {
	var rest []*shop.BringPart
	for i := range b.Parts {
		if b.Parts[i].Load == 0 {
			rest = append(rest, &b.Parts[i])
		}
	}
	if len(rest) == 0 {
		return
	}
	p.line("")
	p.heading("Other parts that it may take")
	for _, x := range rest[:min(len(rest), mostBrought)] {
		p.para(fmt.Sprintf("  %6s  %s ", percent(x.Probability), pad(x.Part, 26)), whereWords(b, x))
	}
	if n := len(rest) - mostBrought; n > 0 {
		p.para("  ", fmt.Sprintf("And %s that are less likely: --json lists them.", counted(n, "part")))
	}
}

// whereWords say where a part lies that is not loaded.
func whereWords(b *shop.Bringing, x *shop.BringPart) string {
	var words []string
	if x.OnTruck > 0 {
		words = append(words, fmt.Sprintf("%s has %d", b.Place, x.OnTruck))
	}
	if x.OnShelf > 0 {
		words = append(words, fmt.Sprintf("shelf %d", x.OnShelf))
	}
	words = append(words, x.Elsewhere...)
	if x.OnTruck+x.OnShelf == 0 {
		words = append(words, fmt.Sprintf("not here; %d may be needed", x.Qty))
	} else if x.OnTruck < x.Qty && x.OnTruck+x.OnShelf < x.Qty {
		words = append(words, fmt.Sprintf("%d may be needed", x.Qty))
	}
	return strings.Join(words, ", ")
}
