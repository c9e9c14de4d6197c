package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newPhrase(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "phrase",
		Short: "What people's words were taken to mean",
		Long: `What people's words were taken to mean. A symptom that is confirmed when a job
is opened is remembered for the words that were said; from then on the words
find it, and the oftener it was chosen the more they count. A wrong pick can be
taken back.`,
		Example: `  sootsayer phrase list
  sootsayer phrase choose sad trombone --symptom rumbles --family oil-furnace
  sootsayer phrase withdraw sad trombone --symptom rumbles`,
	}
	cmd.AddCommand(newPhraseList(a), newPhraseChoose(a), newPhraseWithdraw(a))
	return cmd
}

// phraseOptions are which phrases are meant.
type phraseOptions struct{ symptom, family string }

func (o *phraseOptions) define(a *app, cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.symptom, "symptom", "", "the symptom that the words mean")
	f.StringVar(&o.family, "family", "", "kind of equipment")
	a.complete(cmd, map[string]completion{"symptom": completeSymptomIDs, "family": completeFamilies})
}

func completeSymptomIDs(s *shop.Shop, family, _ string) []string {
	return completeSymptoms(s, family, "")
}

// check finds the ids that are meant; need says that a symptom has to be named.
func (o *phraseOptions) check(b *kb.Base, need bool) (err error) {
	if o.family != "" {
		if o.family, err = shop.FamilyOf(b, b.Today("families", o.family)); err != nil {
			return usageError{err}
		}
	}
	if o.symptom = b.Today("symptoms", o.symptom); o.symptom == "" {
		if need {
			return usagef("which symptom? add --symptom with one of: sootsayer base list symptoms")
		}
		return nil
	}
	var have []string
	for i := range b.Symptoms {
		if x := &b.Symptoms[i]; o.family == "" || kb.In(x.Families, o.family) {
			have = append(have, x.ID)
		}
	}
	if !slices.Contains(have, o.symptom) {
		return kb.UnknownID(strings.TrimSuffix("symptom of "+o.family, " of "), o.symptom, have)
	}
	return nil
}

func newPhraseList(a *app) *cobra.Command {
	o := &phraseOptions{}
	cmd := &cobra.Command{
		Use:   "list",
		Short: "What was chosen, and how often",
		Example: `  sootsayer phrase list
  sootsayer phrase list --family oil-furnace --symptom rumbles`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error {
				if err := o.checkKnown(s); err != nil {
					return err
				}
				return runPhraseList(a, s, o)
			})
		},
	}
	o.define(a, cmd)
	return cmd
}

// checkKnown is check, but lets symptoms pass that only phrases know.
func (o *phraseOptions) checkKnown(s *shop.Shop) error {
	wanted := o.symptom
	err := o.check(s.Base(), false)
	if err == nil || wanted == "" {
		return err
	}
	if list, listErr := s.Phrases("", wanted); listErr != nil || len(list) == 0 {
		return err
	}
	return nil
}

func runPhraseList(a *app, s *shop.Shop, o *phraseOptions) error {
	list, err := s.Phrases(o.family, o.symptom)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(append([]shop.Phrase{}, list...))
	}
	p := a.printer()
	if len(list) == 0 {
		p.para("", "No phrase was learned yet. They are when a symptom is confirmed for the words of a job, and by: sootsayer phrase choose WORDS --symptom SYMPTOM --family FAMILY")
		return nil
	}
	p.line("times  last        %s said", pad("symptom", 26))
	for _, x := range list {
		name := x.Symptom
		if _, ok := s.Base().Symptom(x.Symptom); !ok {
			name += " (gone)"
		}
		p.para(fmt.Sprintf("%5d  %s  %s ", x.Times, x.Last.Local().Format("2006-01-02"), pad(name, 26)), x.Phrase)
	}
	return nil
}
