package cli

import (
	"bufio"
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/index"
	"sootsayer/kb"
	"sootsayer/ranker"
)

// openOptions are what `job open` is told.
type openOptions struct {
	family, appliance, model string
	callbackOf               string
	symptoms                 []string
	stated                   []kb.Finding // the symptoms, as check read them
}

func newJobOpen(a *app) *cobra.Command {
	o := &openOptions{}
	cmd := &cobra.Command{
		Use:   "open WORDS... --family FAMILY",
		Short: "Open a job from a complaint, in the customer's words",
		Long: `Open a job from a complaint, in the customer's own words. What is clear in them
is recorded as symptoms; what is doubtful is asked about on a terminal, and
listed otherwise. When the trouble of an earlier job came back, name that job
with --callback-of: the equipment is taken from it, and soon after its closing
what it taught is taken back.

` + safetyNote,
		Example: `  sootsayer job open starts then locks out after half a minute --family oil-furnace
  sootsayer job open "no heat, hums" --family used-oil-heater --appliance bay-3
  sootsayer job open locked out again --callback-of 17`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			words := strings.Join(strings.Fields(strings.Join(args, " ")), " ")
			if words == "" {
				return usagef("what did the customer say? write: %s", cmd.UseLine())
			}
			if err := o.takeEarlier(a, cmd); err != nil {
				return err
			}
			cfg := a.config(cmd, true)
			cfg.Before = o.check // so that a slip makes no store
			s, err := shop.Open(cfg)
			if err != nil {
				return err
			}
			defer s.Close()
			return runJobOpen(cmd.Context(), a, s, words, o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.family, "family", "", "kind of equipment")
	f.StringVar(&o.appliance, "appliance", "", "which piece of equipment, as the shop calls it")
	f.StringVar(&o.model, "model", "", "its model, as the shop calls it")
	f.StringVar(&o.callbackOf, "callback-of", "", "the earlier job whose trouble came back")
	f.StringArrayVar(&o.symptoms, "symptom", nil, "a symptom that is there besides, or SYMPTOM=no")
	a.complete(cmd, map[string]completion{"family": completeFamilies, "model": completeModels, "callback-of": completeClosedJobs, "symptom": completeSymptoms})
	return cmd
}

// takeEarlier takes from the earlier job what was not told of the equipment.
func (o *openOptions) takeEarlier(a *app, cmd *cobra.Command) error {
	if o.callbackOf == "" {
		return nil
	}
	return a.withShop(cmd, false, func(s *shop.Shop) error {
		j, err := s.Job(o.callbackOf)
		if err != nil {
			return err
		}
		if !j.Closed() {
			return fmt.Errorf("job %s is open; go on with: sootsayer job next %s", j.ID, j.ID)
		}
		if o.family != "" && o.family != j.Family {
			return usagef("job %s is of family %s; leave --family out, or --callback-of", j.ID, j.Family)
		}
		o.family, o.appliance, o.model = j.Family, cmp.Or(o.appliance, j.Appliance), cmp.Or(o.model, j.Model)
		return nil
	})
}

// mostDoubtful is how many doubtful symptoms are listed or asked about.
const mostDoubtful = 3

// openedJSON is the JSON answer of an opening.
type openedJSON struct {
	Complaint  string        `json:"complaint"`
	Understood []index.Guess `json:"understood"`
	Doubtful   []index.Guess `json:"doubtful"`
	Remembered []string      `json:"remembered,omitempty"` // symptoms for which the words are from now on
	Next       rankingJSON   `json:"next"`
}

// check reads what was told about the equipment.
func (o *openOptions) check(b *kb.Base) (err error) {
	if o.family, err = shop.FamilyOf(b, o.family); err != nil {
		return usageError{err}
	}
	for _, text := range o.symptoms {
		f, err := b.ParseFinding(kb.KindSymptom, o.family, text)
		if err != nil {
			return err
		}
		o.stated = append(o.stated, f)
	}
	return nil
}

func runJobOpen(ctx context.Context, a *app, s *shop.Shop, words string, o *openOptions) error {
	family := o.family
	c := shop.Complaint{Words: words, Family: family, Model: o.model, Appliance: o.appliance, CallbackOf: o.callbackOf, Symptoms: o.stated}
	guesses, err := s.Understand(words, family)
	if err != nil {
		return err
	}
	pickFromStated(&c, guesses)
	var clear, doubtful []index.Guess
	for _, g := range guesses {
		switch {
		case said(c.Symptoms, g.Symptom):
		case g.Clear:
			clear = append(clear, g)
			c.Symptoms = append(c.Symptoms, symptom(g.Symptom, kb.Yes))
		default:
			doubtful = append(doubtful, g)
		}
	}
	asked := !a.json && a.asks()
	if asked {
		in := bufio.NewScanner(a.env.In)
		if err := a.askDoubtful(ctx, in, s.Base(), doubtful, &c); err != nil {
			return err
		}
		if len(c.Symptoms) == 0 {
			if err := a.pickByWords(ctx, s, in, &c); err != nil {
				return err
			}
		}
	}
	if err := teachable(s, &c); err != nil {
		return err
	}
	j, err := s.OpenJob(c)
	if err != nil {
		return err
	}
	if a.json {
		return a.printOpened(s, &j, openedJSON{Complaint: words, Understood: clear, Doubtful: doubtful, Remembered: c.Chosen})
	}
	if err := a.tellEquipment(s, &j); err != nil {
		return err
	}
	a.tellOpened(s.Base(), &j, doubtful, asked, c.Chosen)
	return a.printJob(s, &j, false)
}

func symptom(id, outcome string) kb.Finding {
	return kb.Finding{Kind: kb.KindSymptom, ID: id, Outcome: outcome}
}

func said(list []kb.Finding, id string) bool {
	for i := range list {
		if list[i].ID == id {
			return true
		}
	}
	return false
}

// askDoubtful asks about each doubtful symptom. A yes is remembered for the
// words, so that the next search knows them.
func (a *app) askDoubtful(ctx context.Context, in *bufio.Scanner, b *kb.Base, doubtful []index.Guess, c *shop.Complaint) error {
	for _, g := range doubtful[:min(len(doubtful), mostDoubtful)] {
		s, ok := b.Symptom(g.Symptom)
		if !ok {
			continue
		}
		answer, err := a.askYesNo(ctx, in, s.Ask)
		if err != nil {
			return err
		}
		switch answer {
		case kb.Yes:
			c.Symptoms = append(c.Symptoms, symptom(g.Symptom, kb.Yes))
			c.Chosen = append(c.Chosen, g.Symptom)
		case kb.No:
			c.Symptoms = append(c.Symptoms, symptom(g.Symptom, kb.No))
		}
	}
	return nil
}

// askYesNo asks until it understands: yes, no, or "" for not known.
func (a *app) askYesNo(ctx context.Context, in *bufio.Scanner, question string) (string, error) {
	a.printer().para("", question)
	for {
		fmt.Fprint(a.env.Out, "  y, n, or Enter if not known: ")
		text, there, err := nextLine(ctx, in)
		if err != nil || !there {
			return "", err
		}
		switch strings.ToLower(strings.TrimSpace(text)) {
		case "y", "yes":
			return kb.Yes, nil
		case "n", "no":
			return kb.No, nil
		case "":
			return "", nil
		}
	}
}

func (a *app) printOpened(s *shop.Shop, j *kb.Job, o openedJSON) error {
	belief, err := s.Believe(j)
	if err != nil {
		return err
	}
	o.Understood, o.Doubtful = append([]index.Guess{}, o.Understood...), append([]index.Guess{}, o.Doubtful...)
	o.Next = rankingJSON{Job: j.ID, Model: j.Model, Ranking: belief.Rank(ranker.Options{})}
	return a.printJSON(o)
}

// tellEquipment says which job was opened, and what the shop makes of its model
// and of an earlier job.
func (a *app) tellEquipment(s *shop.Shop, j *kb.Job) error {
	p := a.printer()
	p.line("Job %s is open.", j.ID)
	if j.CallbackOf != "" {
		soon, err := s.CameBackSoon(j)
		if err != nil {
			return err
		}
		text := fmt.Sprintf("Job %s came back within %g days: what it taught is taken back.", j.CallbackOf, s.Base().Settings.CallbackDays)
		if !soon {
			text = fmt.Sprintf("Job %s was closed more than %g days ago: what it taught stands.", j.CallbackOf, s.Base().Settings.CallbackDays)
		}
		p.para("  ", text)
	}
	if j.Model == "" {
		return nil
	}
	text, err := modelWords(s, j.Family, j.Model)
	if err == nil {
		p.para("  ", text)
	}
	return err
}

// tellOpened says what was understood, what may be meant besides, and the
// cautions that hold for the whole job.
func (a *app) tellOpened(b *kb.Base, j *kb.Job, doubtful []index.Guess, asked bool, chosen []string) {
	p := a.printer()
	for i := range j.Acts {
		if f := j.Acts[i].Finding; f != nil {
			p.para("  Understood: ", findingWords(b, f))
		}
	}
	for _, id := range chosen {
		p.remembered(b, j.Complaint, id)
	}
	if len(j.Acts) == 0 {
		p.para("  ", "No symptom was clear in these words. Record what you see with: sootsayer job record SYMPTOM=yes; see: sootsayer find WORDS --kind symptom")
		p.para("  ", "To have the words understood next time: sootsayer phrase choose WORDS --symptom SYMPTOM --family "+j.Family)
	}
	if !asked && len(doubtful) > 0 {
		p.line("  Perhaps also, if you can say so (sootsayer job record %s SYMPTOM=yes):", j.ID)
		for _, g := range doubtful[:min(len(doubtful), mostDoubtful)] {
			if s, ok := b.Symptom(g.Symptom); ok {
				p.line("    %s", cut(fmt.Sprintf("%s  %s", pad(s.ID, 24), s.Name), p.width-4))
			}
		}
	}
	if f, ok := b.Family(j.Family); ok {
		for _, text := range f.Cautions {
			p.caution("  ", text)
		}
	}
	p.line("")
}
