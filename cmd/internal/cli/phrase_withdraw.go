package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newPhraseWithdraw(a *app) *cobra.Command {
	o := &phraseOptions{}
	var all bool
	cmd := &cobra.Command{
		Use:   "withdraw WORDS... --symptom SYMPTOM",
		Short: "Take back that words mean a symptom",
		Long: `Take back that words mean a symptom: the newest pick, or with --all every one.
The words are those that sootsayer phrase list shows.`,
		Example: `  sootsayer phrase withdraw sad trombone --symptom rumbles
  sootsayer phrase withdraw sad trombone --symptom rumbles --family oil-furnace --all`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			words := strings.Join(strings.Fields(strings.Join(args, " ")), " ")
			return a.withShop(cmd, true, func(s *shop.Shop) error {
				if o.symptom == "" {
					return o.check(s.Base(), true)
				}
				if err := o.checkKnown(s); err != nil {
					return err
				}
				return runPhraseWithdraw(a, s, words, o, all)
			})
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 { // the rest of words that were typed one by one
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return a.completing(completePhrases)(cmd, args, typed)
		},
	}
	o.define(a, cmd)
	cmd.Flags().BoolVar(&all, "all", false, "every pick of it, not only the newest")
	return cmd
}

func completePhrases(s *shop.Shop, family, _ string) []string {
	list, err := s.Phrases(family, "")
	if err != nil {
		return nil
	}
	var out []string
	for _, p := range list {
		out = append(out, p.Phrase+"\t"+p.Symptom)
	}
	return out
}

func runPhraseWithdraw(a *app, s *shop.Shop, words string, o *phraseOptions, all bool) error {
	left, err := s.WithdrawPhrase(words, o.symptom, o.family, all)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(left)
	}
	text := "No pick of it is left; the words are forgotten."
	if left.Times > 0 {
		text = fmt.Sprintf("It still stands chosen %s; --all takes back every pick.", countedAs(left.Times, "time", "times"))
	}
	p := a.printer()
	p.para("", fmt.Sprintf("Taken back: %q means %s.", left.Phrase, symptomName(s.Base(), left.Symptom)))
	p.para("  ", text)
	return nil
}
