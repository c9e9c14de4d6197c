package cli

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb/stock"
)

// stockListOptions are what `stock list` is asked.
type stockListOptions struct {
	place string
	all   bool
}

func newStockList(a *app) *cobra.Command {
	o := &stockListOptions{}
	cmd := &cobra.Command{
		Use:   "list [PART...] [--place PLACE] [--all]",
		Short: "What is on hand and on order, and where",
		Long: `What is on hand by the books, at which place, when that was last counted, and what
is on order. Below zero means that pieces were taken that the books know nothing
of: count them. With parts named, everything the books say of each.`,
		Example: `  sootsayer stock list
  sootsayer stock list --place truck-1
  sootsayer stock list nozzle-085-80-hollow`,
		Args: argsBetween(0, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runStockList(a, s, args, o) })
		},
		ValidArgsFunction: a.completing(completePartNames),
	}
	cmd.Flags().StringVar(&o.place, "place", "", "only what is there")
	cmd.Flags().BoolVar(&o.all, "all", false, "parts too that nobody counted or ordered yet")
	a.complete(cmd, map[string]completion{"place": completePlaces})
	return cmd
}

// stockJSON is what the answer says of one part.
type stockJSON struct {
	Part       string            `json:"part"`
	Name       string            `json:"name,omitempty"`
	OnHand     *float64          `json:"on_hand"` // at all places; null where no books have begun
	Owed       float64           `json:"owed"`    // by how much the books are below zero, places added up
	OnOrder    float64           `json:"on_order"`
	Places     []stock.PlaceBook `json:"places"`
	Orders     []stock.OpenOrder `json:"orders"`
	Former     []string          `json:"former_numbers,omitempty"`
	Alternates []alternateJSON   `json:"alternates,omitempty"`
}

// alternateJSON is a part that will do in place of another.
type alternateJSON struct {
	Part   string   `json:"part"`
	OnHand *float64 `json:"on_hand"`
}

func runStockList(a *app, s *shop.Shop, words []string, o *stockListOptions) error {
	if o.place != "" {
		if _, err := s.Place(o.place, false); err != nil {
			return wrongUse(err)
		}
	}
	var parts []string
	for _, word := range words {
		part, err := shop.ParsePart(s.Base(), word, a.notice)
		if err != nil {
			return wrongUse(err)
		}
		if !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	list, err := stockList(s, parts, o.place, o.all)
	if err != nil {
		return err
	}
	switch {
	case a.json:
		return a.printJSON(list)
	case len(parts) > 0:
		for i := range list {
			a.printer().stockCard(s, &list[i])
		}
	default:
		a.printer().stockTable(s, list, o)
	}
	return nil
}

// stockList gathers what the books say of parts: those named, else those that
// have books or are on order, and with all those of the base too. With a place
// only that one is listed, and parts that have books there.
func stockList(s *shop.Shop, parts []string, place string, all bool) ([]stockJSON, error) {
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	named := len(parts) > 0
	if !named {
		parts = s.StockedParts(books)
		if all {
			parts = withRest(s, parts)
		}
	}
	list := []stockJSON{}
	for _, id := range parts {
		x := partStock(s, books, id)
		if place != "" {
			x.Places = slices.DeleteFunc(x.Places, func(at stock.PlaceBook) bool { return at.Place != place })
			if len(x.Places) == 0 && !named {
				continue
			}
		}
		list = append(list, x)
	}
	return list, nil
}

// withRest puts the parts of the base that have no books among those that have,
// in base order; old numbers are left out.
func withRest(s *shop.Shop, stocked []string) []string {
	var list []string
	for i := range s.Base().Parts {
		if x := &s.Base().Parts[i]; x.SupersededBy == "" {
			list = append(list, x.ID)
		}
	}
	for _, id := range stocked {
		if !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
}

// partStock is what the books say of a part.
func partStock(s *shop.Shop, books *stock.Books, id string) stockJSON {
	book := books.Part(id)
	x := stockJSON{Part: id, Owed: book.Owed(), OnOrder: book.OnOrder(), OnHand: onHand(&book), Former: s.Base().FormerNumbers(id),
		Places: append([]stock.PlaceBook{}, book.Places...), Orders: append([]stock.OpenOrder{}, book.Orders...)}
	for i := range x.Places {
		x.Places[i].Counts = append([]stock.Count{}, x.Places[i].Counts...)
	}
	if p, ok := s.Base().Part(id); ok {
		x.Name = p.Name
		for _, other := range p.Alternates {
			b := books.Part(other)
			x.Alternates = append(x.Alternates, alternateJSON{other, onHand(&b)})
		}
	}
	return x
}

// onHand is nil where no books have begun.
func onHand(p *stock.PartBook) *float64 {
	if n, begun := p.OnHand(); begun {
		return new(n)
	}
	return nil
}

// day writes a day for people.
const day = "2006-01-02"

// countedAt says when a place was last counted, and how that stood to the books.
func countedAt(at *stock.PlaceBook) string {
	c := at.LastCount()
	if c == nil {
		return "not counted yet"
	}
	text := c.At.Local().Format(day)
	if c.By != "" {
		text += " " + c.By
	}
	switch off := c.Difference(); {
	case off < 0:
		text += fmt.Sprintf(", %s missing", pieces(-off))
	case off > 0:
		text += fmt.Sprintf(", %s more than booked", pieces(off))
	}
	return text
}
