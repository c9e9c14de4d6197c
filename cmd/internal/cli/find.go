package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/index"
	"sootsayer/kb"
)

// findOptions are what `find` is asked.
type findOptions struct {
	family string
	kinds  []string
	limit  int
}

// findLimit is how many hits fit on a small screen.
const findLimit = 8

func newFind(a *app) *cobra.Command {
	o := &findOptions{}
	cmd := &cobra.Command{
		Use:   "find WORDS... [--family FAMILY] [--kind KIND]...",
		Short: "Find symptoms, causes, checks, fixes, parts and past jobs by words",
		Long: `Find symptoms, causes, checks, fixes and parts by words: a customer's, the
trade's, or some letters of them. The best fit comes first. Under each stands
the text that fits, with the words found in it marked.

With --kind job the closed jobs of the shop are searched: what was said, why a
job was opened again, its notes, its causes, the appliance. They are listed with
what they turned out to be. Without any --kind they are searched when nothing
else is found.

` + safetyNote,
		Example: `  sootsayer find rumbles and shakes
  sootsayer find cad cell --kind check --family oil-furnace
  sootsayer find hums but wont start --kind job
  sootsayer find 0.85 gph --kind part --limit 0`,
		Args: argsBetween(1, -1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runFind(cmd.Context(), a, s, strings.Join(args, " "), o) })
		},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	f := cmd.Flags()
	f.StringVar(&o.family, "family", "", "only what belongs to this kind of equipment")
	f.StringArrayVar(&o.kinds, "kind", nil, "only this kind: "+strings.Join(findKinds(), ", "))
	f.IntVar(&o.limit, "limit", findLimit, "at most so many, of past jobs apart; 0 for all")
	a.complete(cmd, map[string]completion{"family": completeFamilies,
		"kind": func(*shop.Shop, string, string) []string { return findKinds() }})
	return cmd
}

// findKinds are what --kind may name.
func findKinds() []string { return append(index.Kinds(), index.KindJob) }

// query checks what was asked and makes a query of it.
func (o *findOptions) query(s *shop.Shop, words string) (index.Query, error) {
	q := index.Query{Text: words, Family: o.family, Kinds: o.kinds, Limit: o.limit}
	if o.family != "" {
		if _, err := s.Family(o.family); err != nil {
			return q, usageError{err}
		}
	}
	for _, k := range o.kinds {
		if !slices.Contains(findKinds(), k) {
			return q, usageError{kb.UnknownID("kind", k, findKinds())}
		}
	}
	switch {
	case o.limit < 0:
		return q, usagef("--limit %d: give a number of hits, or 0 for all", o.limit)
	case o.limit == 0:
		q.Limit = -1
	}
	return q, nil
}

func runFind(ctx context.Context, a *app, s *shop.Shop, words string, o *findOptions) error {
	q, err := o.query(s, words)
	if err != nil {
		return err
	}
	x, err := s.Index()
	if err != nil {
		return err
	}
	defer x.Close()
	var hits, jobs []index.Hit
	if len(o.kinds) == 0 || slices.ContainsFunc(o.kinds, func(k string) bool { return k != index.KindJob }) {
		if hits, err = x.Search(ctx, oneMore(q)); err != nil {
			return err
		}
	}
	if slices.Contains(o.kinds, index.KindJob) || len(o.kinds) == 0 && len(hits) == 0 {
		if jobs, err = a.findJobs(ctx, s, x, q); err != nil {
			return err
		}
	}
	if a.json {
		return a.printJSON(append(append([]index.Hit{}, upToLimit(hits, o.limit)...), upToLimit(jobs, o.limit)...))
	}
	p := a.printer()
	if len(hits)+len(jobs) == 0 {
		o.nothing(p, words)
		return nil
	}
	o.tellHits(p, s, words, hits)
	o.tellJobs(p, s, hits, jobs)
	return nil
}

// oneMore asks for one hit more than is shown: it tells whether there are more.
func oneMore(q index.Query) index.Query {
	if q.Limit > 0 {
		q.Limit++
	}
	return q
}

func upToLimit(hits []index.Hit, limit int) []index.Hit {
	if limit > 0 && len(hits) > limit {
		return hits[:limit]
	}
	return hits
}

// tellHits lists what was found in the base, and what to type next.
func (o *findOptions) tellHits(p *printer, s *shop.Shop, words string, hits []index.Hit) {
	if len(hits) == 0 {
		return
	}
	shown := upToLimit(hits, o.limit)
	for i := range shown {
		p.hit(&shown[i])
	}
	o.tellMore(p, hits)
	p.line("")
	findNext(p, s, words, o.family, shown)
	if len(o.kinds) == 0 && s.AnyClosed() {
		p.para("Past jobs like it: ", fmt.Sprintf("sootsayer find %s --kind job", shellWords(words)))
	}
}

// tellMore says that there are more hits than are listed.
func (o *findOptions) tellMore(p *printer, hits []index.Hit) {
	if o.limit > 0 && len(hits) > o.limit {
		p.para("", fmt.Sprintf("There are more than %d. More words narrow it down; --limit 0 lists all.", o.limit))
	}
}

// nothing says what to try when nothing was found.
func (o *findOptions) nothing(p *printer, words string) {
	p.para("", fmt.Sprintf("Nothing found for %q.", words))
	if o.family != "" || len(o.kinds) > 0 {
		p.para("  ", "Leave out --family and --kind: what you mean may be listed elsewhere.")
	}
	p.para("  ", "Try fewer words, other words for it, or the name of the part it is about.")
	list := "sootsayer base list symptoms"
	if o.family != "" {
		list += " --family " + o.family
	}
	p.para("  See all symptoms: ", list)
}
