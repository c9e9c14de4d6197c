package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockMove(a *app) *cobra.Command {
	w, from, to := &pieceWords{a: a, rule: shop.SomePieces}, &placeFlag{}, &placeFlag{}
	cmd := &cobra.Command{
		Use:   "move PART=N... --from PLACE --to PLACE",
		Short: "Record what went from one place to another",
		Long: `Record what went from one place to another, such as from the shelf to a truck.
Where one of the two is left out it is the shelf.`,
		Example: `  sootsayer stock move nozzle-085-80-hollow=2 flame-eye --to truck-1
  sootsayer stock move flame-eye=2 --from truck-1 --to truck-2 --new-place`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if from.name == "" && to.name == "" {
				return usagef("from where to where? add --from PLACE, --to PLACE, or both")
			}
			return w.record(cmd, args, func(s *shop.Shop, at time.Time, pieces []shop.Pieces) error {
				source, err := s.Place(from.name, false)
				if err != nil {
					return wrongUse(err)
				}
				target, err := to.in(s)
				if err != nil {
					return err
				}
				if source == target {
					return usagef("the pieces are at %s already; name two places", source)
				}
				lines, err := s.Move(source, target, at, pieces)
				if err != nil {
					return err
				}
				return a.printStockLines("Moved from "+source+" to "+target, lines, movedWords)
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&from.name, "from", "", "where the pieces were (default shelf)")
	f.StringVar(&to.name, "to", "", "where they are now (default shelf)")
	w.defineWhen(cmd)
	to.defineNew(cmd)
	a.complete(cmd, map[string]completion{"from": completePlaces, "to": completePlaces})
	cmd.ValidArgsFunction = a.completing(completeParts)
	return cmd
}

func movedWords(l *shop.StockLine) string {
	to := pieces(*l.OnHandTo) // books begin with what is moved there
	if l.OnHand == nil {
		return fmt.Sprintf("%s at %s now; %s", to, l.To, nowThere(nil, l.Place))
	}
	return fmt.Sprintf("%s at %s and %s at %s now", pieces(*l.OnHand), l.Place, to, l.To)
}
