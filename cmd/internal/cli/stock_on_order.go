package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newStockOnOrder(a *app) *cobra.Command {
	w := &pieceWords{a: a, rule: shop.PiecesOrMinus}
	cmd := &cobra.Command{
		Use:   "on-order PART=N...",
		Short: "Record what was ordered, or cancelled",
		Long: `Record what was ordered, so that it is not ordered twice. It stays on order until
it is received. Fewer than none was cancelled: PART=-5, the newest order first.`,
		Example: `  sootsayer stock on-order nozzle-085-80-hollow=10 flame-eye=2
  sootsayer stock on-order flame-eye=2 --at 2026-01-15
  sootsayer stock on-order flame-eye=-1`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return w.record(cmd, args, func(s *shop.Shop, at time.Time, pieces []shop.Pieces) error {
				lines, err := s.PutOnOrder(at, pieces)
				if err != nil {
					return err
				}
				return a.printStockLines("Ordered", lines, orderedWords)
			})
		},
	}
	w.defineWhen(cmd)
	cmd.ValidArgsFunction = a.completing(completeParts)
	return cmd
}

func orderedWords(l *shop.StockLine) string {
	if l.Qty < 0 {
		return fmt.Sprintf("cancelled; %s left on order", pieces(l.OnOrder))
	}
	return fmt.Sprintf("%s on order now", pieces(l.OnOrder))
}
