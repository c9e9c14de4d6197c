package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/kb"
)

// synonymsList is the list whose entries have no ids.
const synonymsList = "synonyms"

func newBaseList(a *app) *cobra.Command {
	var family string
	lists := append(slices.Clone(baseLists), synonymsList)
	cmd := &cobra.Command{
		Use:   "list [LIST] [--family FAMILY]",
		Short: "List what the base holds, or how much of it",
		Long: `List what the base holds. Without a list: how many entries each has. The lists
are ` + strings.Join(lists[:5], ", ") + `,
` + strings.Join(lists[5:], ", ") + `.`,
		Example: `  sootsayer base list
  sootsayer base list symptoms --family oil-furnace
  sootsayer base list parts`,
		Args: argsBetween(0, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			b, err := a.baseOnly()
			if err != nil {
				return err
			}
			return runBaseList(a, b, args, family)
		},
		ValidArgsFunction: cobra.FixedCompletions(lists, cobra.ShellCompDirectiveNoFileComp),
	}
	cmd.Flags().StringVar(&family, "family", "", "only what belongs to this kind of equipment")
	a.complete(cmd, map[string]completion{"family": completeFamilies})
	return cmd
}

func runBaseList(a *app, b *kb.Base, args []string, family string) error {
	if _, ok := b.Family(family); family != "" && !ok {
		return usageError{kb.UnknownID("family", family, b.IDs("families"))}
	}
	part := ofFamily(b, family)
	if len(args) == 0 {
		return listCounts(a, part)
	}
	list := args[0]
	rows, entries, ok := rowsOf(part, list)
	if !ok {
		return usageError{kb.UnknownID("list", list, append(slices.Clone(baseLists), synonymsList))}
	}
	if a.json {
		return a.printJSON(entries)
	}
	a.printer().rows(rows)
	switch {
	case len(rows) == 0:
		a.printer().line("The base has no %s here.", list)
	case list != synonymsList:
		a.printer().line("\nRead one whole: sootsayer base show ID")
	}
	return nil
}

// rows writes a list in columns; ids are never cut, since people type them.
func (p *printer) rows(list []row) {
	id, takes := 0, 0
	for _, r := range list {
		id, takes = max(id, len(r.id)), max(takes, len(r.takes))
	}
	for _, r := range list {
		first := ""
		if id > 0 {
			first = pad(r.id, id) + "  "
		}
		if takes > 0 {
			first += fmt.Sprintf("%*s  ", takes, r.takes)
		}
		p.para(first, r.text)
	}
}

func listCounts(a *app, b *kb.Base) error {
	counts := map[string]int{synonymsList: len(b.Synonyms)}
	for _, list := range baseLists {
		counts[list] = len(b.IDs(list))
	}
	if a.json {
		return a.printJSON(counts)
	}
	p := a.printer()
	for _, list := range append(slices.Clone(baseLists), synonymsList) {
		name := list
		if counts[list] == 1 && kindOf[list] != "" {
			name = kindOf[list]
		}
		p.line("%5d %s", counts[list], name)
	}
	p.line("\nSee one of them: sootsayer base list LIST")
	return nil
}

// row is a line of a list.
type row struct{ id, takes, text string }

// rowsOf returns the rows of a list and its entries as data; false for a list
// that there is not.
func rowsOf(b *kb.Base, list string) (rows []row, entries any, ok bool) {
	switch list {
	case "families":
		rows, entries = rowsFor(b.Families, func(e *kb.Family) row { return row{id: e.ID, text: e.Name} })
	case "components":
		rows, entries = rowsFor(b.Components, func(e *kb.Component) row { return row{id: e.ID, text: e.Name} })
	case "states":
		rows, entries = rowsFor(b.States, func(e *kb.State) row {
			return row{id: e.ID, text: fmt.Sprintf("%s: %s", stateName(e), strings.Join(e.Values, ", "))}
		})
	case "symptoms":
		rows, entries = rowsFor(b.Symptoms, func(e *kb.Symptom) row { return row{id: e.ID, text: e.Name} })
	case "checks":
		rows, entries = rowsFor(b.Checks, func(e *kb.Check) row { return row{e.ID, minutes(e.Minutes), e.Name} })
	case "causes":
		rows, entries = rowsFor(b.Causes, func(e *kb.Cause) row { return row{id: e.ID, text: e.Name} })
	case "fixes":
		rows, entries = rowsFor(b.Fixes, func(e *kb.Fix) row { return row{e.ID, minutes(e.Minutes), e.Name} })
	case "parts":
		rows, entries = rowsFor(b.Parts, func(e *kb.Part) row { return row{id: e.ID, text: partName(e)} })
	case "holds":
		rows, entries = rowsFor(b.Holds, func(e *kb.Hold) row { return row{id: e.ID, text: e.Says} })
	case synonymsList:
		rows, entries = rowsFor(b.Synonyms, func(e *[]string) row { return row{text: strings.Join(*e, ", ")} })
	default:
		return nil, nil, false
	}
	return rows, entries, true
}

// rowsFor returns a row for each entry, and the entries; an empty list is not
// nil, so that it is one in JSON.
func rowsFor[T any](list []T, of func(*T) row) ([]row, any) {
	rows := make([]row, len(list))
	for i := range list {
		rows[i] = of(&list[i])
	}
	return rows, append([]T{}, list...)
}

func partName(e *kb.Part) string {
	if e.Spec == "" {
		return e.Name
	}
	return e.Name + ", " + e.Spec
}

// ofFamily returns what of a base belongs to a family; all of it when none is
// named. States and synonyms belong to all.
func ofFamily(b *kb.Base, family string) *kb.Base {
	if family == "" {
		return b
	}
	out := &kb.Base{Schema: b.Schema, Settings: b.Settings, States: b.States, Synonyms: b.Synonyms}
	out.Families = only(b.Families, func(e *kb.Family) bool { return e.ID == family })
	out.Components = only(b.Components, func(e *kb.Component) bool { return kb.In(e.Families, family) })
	out.Symptoms = only(b.Symptoms, func(e *kb.Symptom) bool { return kb.In(e.Families, family) })
	out.Checks = only(b.Checks, func(e *kb.Check) bool { return kb.In(e.Families, family) })
	out.Holds = only(b.Holds, func(e *kb.Hold) bool { return kb.In(e.Families, family) })
	fixes, parts := make(map[string]bool), make(map[string]bool)
	out.Causes = only(b.Causes, func(e *kb.Cause) bool {
		_, in := e.Share[family]
		fixes[e.Fix] = fixes[e.Fix] || in
		return in
	})
	out.Fixes = only(b.Fixes, func(e *kb.Fix) bool {
		if fixes[e.ID] {
			for _, use := range e.PartsFor(family) {
				parts[use.Part] = true
			}
		}
		return fixes[e.ID]
	})
	out.Parts = only(b.Parts, func(e *kb.Part) bool { return parts[e.ID] })
	out.Reindex()
	return out
}

func only[T any](list []T, keep func(*T) bool) []T {
	var out []T
	for i := range list {
		if keep(&list[i]) {
			out = append(out, list[i])
		}
	}
	return out
}
