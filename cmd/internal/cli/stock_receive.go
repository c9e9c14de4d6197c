package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockReceive(a *app) *cobra.Command {
	w, place := &pieceWords{a: a, rule: shop.PiecesOrMinus}, &placeFlag{}
	cmd := &cobra.Command{
		Use:   "receive PART=N... [--place PLACE]",
		Short: "Record what came in",
		Long: `Record what came in. It is taken off what is on order, the oldest order first.
Fewer than none puts right what was written wrongly, or was sent back: PART=-2.`,
		Example: `  sootsayer stock receive nozzle-085-80-hollow=10 flame-eye=2
  sootsayer stock receive fan-belt=2 --place truck-1
  sootsayer stock receive flame-eye=-1`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return w.record(cmd, args, func(s *shop.Shop, at time.Time, pieces []shop.Pieces) error {
				where, err := place.in(s)
				if err != nil {
					return err
				}
				lines, err := s.Receive(where, at, pieces)
				if err != nil {
					return err
				}
				return a.printStockLines("Received", lines, receivedWords)
			})
		},
	}
	cmd.Flags().StringVar(&place.name, "place", "", "where it was put (default shelf)")
	w.defineWhen(cmd)
	place.defineNew(cmd)
	a.complete(cmd, map[string]completion{"place": completePlaces})
	cmd.ValidArgsFunction = a.completing(completeParts)
	return cmd
}

func receivedWords(l *shop.StockLine) string {
	text := nowThere(l.OnHand, l.Place)
	if l.OnOrder > 0 {
		text += fmt.Sprintf("; %s still on order", pieces(l.OnOrder))
	}
	if l.Unordered > 0 && l.Unordered < l.Qty {
		text += fmt.Sprintf("; %s more than were ordered", pieces(l.Unordered))
	}
	return text
}
