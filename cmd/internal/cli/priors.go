package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// priorsOptions are what `priors` is asked.
type priorsOptions struct {
	family string
	model  string
	tables bool
	all    bool
}

func newPriors(a *app) *cobra.Command {
	o := &priorsOptions{}
	var u *unlistedOptions
	cmd := &cobra.Command{
		Use:   "priors [--family FAMILY] [--model MODEL] [--tables] [--all] [--unlisted]",
		Short: "How often each cause is the root cause, at the start and by now",
		Long: `How often each cause is the root cause: as the base starts with it, and as the
closed jobs of this shop have moved it. "90% between" says how sure that is:
with the jobs so far, the true share lies in there with a chance of 90%. What
rose or fell in the last two heating seasons is listed where it is more than
chance. All families are listed unless one is named. With --model the shares
are those of one model.`,
		Example: `  sootsayer priors
  sootsayer priors --family oil-furnace --all
  sootsayer priors --family oil-furnace --model invented-2
  sootsayer priors --tables`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := u.check(o); err != nil {
				return err
			}
			return a.withShop(cmd, u.settle != "", func(s *shop.Shop) error {
				if u.on {
					return u.run(cmd.Context(), a, s, o)
				}
				return runPriors(a, s, o)
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.family, "family", "", "kind of equipment; all of them when left out")
	f.StringVar(&o.model, "model", "", "only equipment of this model, as the shop calls it")
	f.BoolVar(&o.tables, "tables", false, "results, cures, minutes and parts that closed jobs moved, too")
	f.BoolVar(&o.all, "all", false, "list all causes, not only the likely ones and those with jobs")
	a.complete(cmd, map[string]completion{"family": completeFamilies, "model": completeModels})
	u = newUnlistedOptions(a, cmd)
	return cmd
}

// priorsJSON is the JSON answer; it lists everything, whatever --all says.
type priorsJSON struct {
	Families []familyPriors      `json:"families"`
	Tables   []learn.TableChange `json:"tables,omitempty"`
}

// familyPriors are the shares of one family and the jobs behind them.
type familyPriors struct {
	Family   string         `json:"family"`
	Jobs     int            `json:"jobs"`     // closed
	Weighted float64        `json:"weighted"` // what they weigh now
	Strength float64        `json:"strength"` // how many jobs the starting shares are worth
	Model    *modelPriors   `json:"model,omitempty"`
	Recent   string         `json:"recent_since"` // the day from which on jobs are recent
	Priors   []learn.Prior  `json:"priors"`
	Changes  []learn.Change `json:"changes,omitempty"` // with --tables
}

// modelPriors are what was found on one model, and how many jobs of it the
// family's shares are worth.
type modelPriors struct {
	shop.ModelSeen
	FamilyWorth float64 `json:"family_worth"`
}

func runPriors(a *app, s *shop.Shop, o *priorsOptions) error {
	families := s.Families()
	if o.family != "" {
		family, err := s.Family(o.family)
		if err != nil {
			return usageError{err}
		}
		families = []string{family}
	}
	var err error
	if o.model != "" && o.family == "" {
		if families, err = familiesOf(s, o.model); err != nil {
			return err
		}
	}
	var out priorsJSON
	for _, id := range families {
		f, err := priorsOf(s, id, o)
		if err != nil {
			return err
		}
		out.Families = append(out.Families, *f)
	}
	if o.tables {
		changes, err := s.TableChanges()
		if err != nil {
			return err
		}
		out.Tables = slices.DeleteFunc(changes, func(c learn.TableChange) bool { return !observedIn(s.Base(), c.Observable, families) })
	}
	if a.json {
		return a.printJSON(out)
	}
	return a.printPriors(s, &out, o)
}

// familiesOf are the families that jobs of a model were closed in; where there
// is none yet, a person has to say which one is meant.
func familiesOf(s *shop.Shop, model string) ([]string, error) {
	var out []string
	for _, id := range s.Families() {
		m, err := s.ModelSeen(id, model)
		if err != nil {
			return nil, err
		}
		if m.Causes > 0 {
			out = append(out, id)
		}
	}
	if len(out) > 0 {
		return out, nil
	}
	models, err := s.Models("")
	if err != nil {
		return nil, err
	}
	var names []string
	for _, m := range models {
		names = append(names, m.Model)
	}
	if near, ok := kb.Nearest(model, names); ok {
		return nil, usagef("no closed job of model %q yet; did you mean %q?", model, near)
	}
	return nil, usagef("no closed job of model %q yet; name its --family to see what is used for it", model)
}

// priorsOf gathers what is known of one family.
func priorsOf(s *shop.Shop, family string, o *priorsOptions) (f *familyPriors, err error) {
	f = &familyPriors{Family: family, Strength: s.Base().Settings.Strength, Recent: s.RecentSince().Format("2006-01-02")}
	if f.Priors, err = s.Priors(family, o.model); err != nil {
		return nil, err
	}
	if f.Jobs, f.Weighted, err = s.ClosedJobs(family); err != nil {
		return nil, err
	}
	if o.model != "" {
		f.Model = new(modelPriors)
		if f.Model.ModelSeen, err = s.ModelSeen(family, o.model); err != nil {
			return nil, err
		}
		if f.Model.FamilyWorth, err = s.FamilyWorth(family); err != nil {
			return nil, err
		}
	}
	if o.tables {
		f.Changes, err = s.Changes(family)
	}
	return f, err
}

// observedIn tells whether a symptom or check, as "check/ID", is of one of the
// families.
func observedIn(b *kb.Base, observable string, families []string) bool {
	kind, id, _ := strings.Cut(observable, "/")
	var of []string
	if x, ok := b.Symptom(id); ok && kind == kb.KindSymptom {
		of = x.Families
	} else if x, ok := b.Check(id); ok && kind == kb.KindCheck {
		of = x.Families
	}
	return slices.ContainsFunc(of, func(f string) bool { return kb.In(families, f) })
}
