package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/ranker"
)

// rankOptions are what `rank` is asked.
type rankOptions struct {
	family     string
	model      string
	symptoms   []string
	found      []string
	tried      []string
	state      []string
	asAuthored bool
	explain    bool
}

func newRank(a *app) *cobra.Command {
	o := &rankOptions{}
	cmd := &cobra.Command{
		Use:   "rank --family FAMILY [--symptom S]... [--found CHECK=RESULT]... [--tried FIX]...",
		Short: "Likely causes and the next check for what is known, without recording anything",
		Long: `Likely causes and the next check for what is known. Nothing is recorded. What
the store has learned is used unless --as-authored is given, with --model what
it learned of that model. Symptoms count first, then findings, then tried fixes.

` + safetyNote,
		Example: `  sootsayer rank --family oil-furnace --symptom starts-then-locks-out
  sootsayer rank --family oil-furnace --symptom starts-then-locks-out \
      --found supply-voltage=117 --found chamber-clear=ok --explain`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runRank(a, s, o) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.family, "family", "", "kind of equipment")
	f.StringVar(&o.model, "model", "", "its model, as the shop calls it")
	f.StringArrayVar(&o.symptoms, "symptom", nil, "a symptom that is there, or SYMPTOM=no")
	f.StringArrayVar(&o.found, "found", nil, "a result: CHECK=OUTCOME, CHECK=1650, or CHECK=ok:0.7,low:0.3 when unsure")
	f.StringArrayVar(&o.tried, "tried", nil, "a fix that was done and did not cure")
	f.StringArrayVar(&o.state, "state", nil, "how the equipment stands: power=off")
	f.BoolVar(&o.asAuthored, "as-authored", false, "leave out what the store has learned")
	f.BoolVar(&o.explain, "explain", false, "say what speaks for and against the likeliest causes")
	a.complete(cmd, map[string]completion{"family": completeFamilies, "model": completeModels, "symptom": completeSymptoms, "found": completeChecks, "tried": completeFixes, "state": completeStates})
	return cmd
}

func runRank(a *app, s *shop.Shop, o *rankOptions) error {
	family, err := s.Family(o.family)
	if err != nil {
		return usageError{err}
	}
	acts, err := parseActs(s.Base(), family, o)
	if err != nil {
		return err
	}
	if o.asAuthored && o.model != "" {
		return usagef("--model %s with --as-authored: the base knows nothing of models; leave one of them out", o.model)
	}
	engine, err := s.Engine(family, o.model, o.asAuthored)
	if err != nil {
		return err
	}
	belief, err := engine.Believe(acts)
	if err != nil {
		return err
	}
	if err := a.tellModel(s, family, o.model); err != nil {
		return err
	}
	return a.printRanking(s.Base(), belief, rankingOutput{model: o.model, explain: o.explain, hints: hints{
		found: func(kind, id, result string) string {
			if kind == kb.KindSymptom {
				return fmt.Sprintf("--symptom %s=%s", id, result)
			}
			return fmt.Sprintf("--found %s=%s", id, result)
		},
		tried: func(fix string) string { return "--tried " + fix },
	}})
}

// parseActs turns the flags into acts in the contract's order: symptoms,
// findings, tried fixes; a state given says how the equipment stands after them.
func parseActs(b *kb.Base, family string, o *rankOptions) ([]kb.Act, error) {
	var acts []kb.Act
	for _, text := range o.symptoms {
		f, err := b.ParseFinding(kb.KindSymptom, family, text)
		if err != nil {
			return nil, err
		}
		acts = append(acts, kb.Act{Finding: &f})
	}
	for _, text := range o.found {
		f, err := b.ParseFinding(kb.KindCheck, family, text)
		if err != nil {
			return nil, err
		}
		acts = append(acts, kb.Act{Finding: &f})
	}
	for _, fix := range o.tried {
		if _, ok := b.Fix(fix); !ok {
			return nil, kb.UnknownID("fix", fix, b.IDs("fixes"))
		}
		acts = append(acts, kb.Act{Tried: fix})
	}
	state, err := parseState(b, o.state)
	if err != nil {
		return nil, err
	}
	if len(state) > 0 {
		acts = append(acts, kb.Act{State: state})
	}
	return acts, nil
}

// parseState reads "power=off" pairs.
func parseState(b *kb.Base, pairs []string) (map[string]string, error) {
	out := make(map[string]string)
	for _, pair := range pairs {
		id, value, ok := strings.Cut(pair, "=")
		s, known := b.State(id)
		switch {
		case !known:
			return nil, kb.UnknownID("state", id, b.IDs("states"))
		case !ok || !kb.In(s.Values, value):
			return nil, kb.UnknownID("value of state "+id, value, s.Values)
		}
		out[id] = value
	}
	return out, nil
}

// rankingOutput says how a ranking is printed.
type rankingOutput struct {
	job     *kb.Job
	model   string // where there is no job
	explain bool
	hints   hints
}

// rankingJSON is the contract's JSON, with the job it is about and the
// explanation where they were asked for.
type rankingJSON struct {
	Job   string `json:"job,omitempty"`
	Model string `json:"model,omitempty"`
	ranker.Ranking
	Why []explained `json:"why,omitempty"`
}

// printRanking prints a belief's ranking for people or as JSON.
func (a *app) printRanking(b *kb.Base, belief *ranker.Belief, o rankingOutput) error {
	detail := screenOthers + 2
	if a.json {
		detail = 0
	}
	r := belief.Rank(ranker.Options{Detail: detail})
	var reasons []explained
	if o.explain {
		var err error
		if reasons, err = why(belief, &r); err != nil {
			return err
		}
	}
	if a.json {
		out := rankingJSON{Model: o.model, Ranking: r, Why: reasons}
		if o.job != nil {
			out.Job, out.Model = o.job.ID, o.job.Model
		}
		return a.printJSON(out)
	}
	s := &screen{card: card{p: a.printer(), base: b, rank: &r, hints: o.hints}, causes: screenCauses, others: screenOthers}
	s.write()
	if o.explain {
		s.explain(reasons)
	}
	return nil
}
