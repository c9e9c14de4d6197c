package cli

import (
	"errors"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newStock(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "stock",
		Short: "Parts: what is there, what comes in, what is used",
		Long: `Parts: what is there, what comes in, what is used. Pieces lie at places, such as
shelf, truck-1 and truck-2; where no place is named the shelf is meant. The books
of a part at a place begin when it is first counted, received or moved there.
What was used before that is history: it draws nothing, and forecasts learn from
it all the same. A job takes its parts from the place named when it is closed.`,
		Example: `  sootsayer stock count shelf nozzle-085-80-hollow=6 flame-eye=2
  sootsayer stock move nozzle-085-80-hollow=2 --from shelf --to truck-1
  sootsayer job close --cause nozzle-plugged --used nozzle-085-80-hollow --from truck-1
  sootsayer stock list`,
	}
	cmd.AddCommand(newStockList(a), newStockCount(a), newStockOnOrder(a), newStockReceive(a), newStockMove(a), newStockUsage(a), newStockExport(a),
		newStockForecast(a), newStockOrder(a), newStockTruck(a), newStockBring(a), newStockHealth(a), newStockScore(a))
	return cmd
}

// pieceWords are what the commands on pieces take: PART=N words and when it was
// done.
type pieceWords struct {
	a    *app
	rule shop.PiecesRule
	when string
}

// defineWhen adds the flag that says when it was done.
func (w *pieceWords) defineWhen(cmd *cobra.Command) {
	cmd.Flags().StringVar(&w.when, "at", "", "when it was done: a day or a time (default now)")
}

// record reads the words before a store is opened or made, and runs what records
// them.
func (w *pieceWords) record(cmd *cobra.Command, words []string, run func(s *shop.Shop, at time.Time, pieces []shop.Pieces) error) error {
	var pieces []shop.Pieces
	cfg := w.a.config(cmd, true)
	cfg.Before = func(b *kb.Base) error {
		var err error
		if pieces, err = shop.ParseParts(b, words, w.rule, w.a.notice); err != nil {
			return usageError{err}
		}
		_, err = shop.When(cfg.Now(), w.when)
		return wrongUse(err)
	}
	s, err := shop.Open(cfg)
	if err != nil {
		return err
	}
	defer s.Close()
	at, err := shop.When(s.Now(), w.when)
	if err != nil {
		return usageError{err}
	}
	return run(s, at, pieces)
}

// wrongUse makes an error one of wrong use.
func wrongUse(err error) error {
	if err == nil {
		return nil
	}
	return usageError{err}
}

// placeFlag is a place that a person names in a flag.
type placeFlag struct {
	name  string
	fresh bool
}

// defineNew adds the flag that lets a new place be named.
func (f *placeFlag) defineNew(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.fresh, "new-place", false, "the place is a new one, and no slip")
}

// in returns the place, and how to name a new one where it is not known.
func (f *placeFlag) in(s *shop.Shop) (string, error) {
	place, err := s.Place(f.name, f.fresh)
	var unknown *kb.UnknownIDError
	switch {
	case err == nil:
		return place, nil
	case errors.As(err, &unknown):
		return "", usagef("%w\nif it is a new place, add --new-place", err)
	}
	return "", usageError{err}
}
