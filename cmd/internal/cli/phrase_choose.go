package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/index"
	"sootsayer/kb"
)

func newPhraseChoose(a *app) *cobra.Command {
	o := &phraseOptions{}
	cmd := &cobra.Command{
		Use:   "choose WORDS... --symptom SYMPTOM --family FAMILY",
		Short: "Remember that words mean a symptom",
		Long: `Remember that words mean a symptom, so that they find it from now on. Choosing
it again makes the words count more.`,
		Example: `  sootsayer phrase choose sad trombone --symptom rumbles --family oil-furnace`,
		Args:    argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			words := strings.Join(strings.Fields(strings.Join(args, " ")), " ")
			if words == "" {
				return usagef("which words? write: %s", cmd.UseLine())
			}
			cfg := a.config(cmd, true)
			cfg.Before = func(b *kb.Base) (err error) { // so that a slip makes no store
				if o.family, err = shop.FamilyOf(b, b.Today("families", o.family)); err != nil {
					return usageError{err}
				}
				return o.check(b, true)
			}
			s, err := shop.Open(cfg)
			if err != nil {
				return err
			}
			defer s.Close()
			return runPhraseChoose(a, s, words, o)
		},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	o.define(a, cmd)
	return cmd
}

// chosenJSON is the JSON answer of a choice.
type chosenJSON struct {
	shop.Phrase
	Understood []index.Guess `json:"understood"` // what the words mean from now on
}

func runPhraseChoose(a *app, s *shop.Shop, words string, o *phraseOptions) error {
	chosen, err := s.ChoosePhrase(words, o.symptom, o.family)
	if err != nil {
		return err
	}
	guesses, err := s.Understand(words, o.family)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(chosenJSON{chosen, append([]index.Guess{}, guesses...)})
	}
	p := a.printer()
	p.remembered(s.Base(), words, o.symptom)
	i := slices.IndexFunc(guesses, func(g index.Guess) bool { return g.Symptom == o.symptom })
	switch {
	case i >= 0 && guesses[i].Clear:
		p.para("  ", fmt.Sprintf("Chosen %s; from now on the words are understood so.", countedAs(chosen.Times, "time", "times")))
	case len(guesses) > 0:
		p.para("  ", fmt.Sprintf("Chosen %s; the words may mean %s too, so it is asked about until it was chosen more often.",
			countedAs(chosen.Times, "time", "times"), symptomName(s.Base(), otherThan(guesses, o.symptom))))
	}
	return nil
}

// otherThan is the likeliest symptom besides one.
func otherThan(guesses []index.Guess, symptom string) string {
	for _, g := range guesses {
		if g.Symptom != symptom {
			return g.Symptom
		}
	}
	return symptom
}

func symptomName(b *kb.Base, id string) string {
	if x, ok := b.Symptom(id); ok {
		return fmt.Sprintf("%q (%s)", x.Name, id)
	}
	return id
}

// remembered says what was learned, and how to take it back.
func (p *printer) remembered(b *kb.Base, words, symptom string) {
	p.para("  Remembered: ", fmt.Sprintf("%q means %s.", words, symptomName(b, symptom)))
	p.para("  If that was wrong: ", fmt.Sprintf("sootsayer phrase withdraw %s --symptom %s", shellWords(words), symptom))
}
