package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newBaseShow(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "show ID",
		Short: "Show an entry of the base whole, with its cautions",
		Long: `Show an entry of the base whole, whatever it is: a check with its steps,
cautions, results and their chances, a cause with how often it is the root
cause and what speaks of it, a symptom, fix, part, hold, state, component or
family. Where closed jobs moved a number, it stands as authored and as it is
now. When several lists have the id, all of them are shown.

` + safetyNote,
		Example: `  sootsayer base show chamber-clear
  sootsayer base show nozzle-plugged`,
		Args: argsBetween(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.withShop(cmd, false, func(s *shop.Shop) error { return runBaseShow(a, s, args[0]) })
		},
	}
	cmd.ValidArgsFunction = a.completing(completeEntries)
	return cmd
}

// completeEntries offers every id of the base.
func completeEntries(s *shop.Shop, _, _ string) []string {
	var out []string
	for _, list := range baseLists {
		for _, id := range s.Base().IDs(list) {
			if !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	return out
}

// shownJSON is one entry with what other entries and closed jobs say of it.
type shownJSON struct {
	Kind  string `json:"kind"`  // family, component, state, symptom, check, cause, fix, part or hold
	Entry any    `json:"entry"` // as in the base

	Rows       []chanceRow  `json:"rows,omitempty"`         // of a symptom or check
	KeptBackBy []string     `json:"kept_back_by,omitempty"` // holds that may keep a check back
	Ends       []string     `json:"ends,omitempty"`         // holds that a check can end
	Shares     []causeShare `json:"shares,omitempty"`       // of a cause, by family
	BroughtBy  []namedShare `json:"brought_by,omitempty"`   // causes that bring a cause along
	SpokenOf   []speaks     `json:"spoken_of,omitempty"`    // symptoms and checks with a row for a cause
	Causes     []string     `json:"causes,omitempty"`       // of a component, or cured by a fix
	UsedBy     []string     `json:"used_by,omitempty"`      // fixes that take a part
}

// shower tells of entries.
type shower struct {
	card
	shop *shop.Shop
}

// showers collect and tell what there is to an id, by kind.
var showers = []struct {
	kind string
	show func(s *shower, id string) (out shownJSON, tell func(), err error)
}{
	{"family", (*shower).family},
	{"component", (*shower).component},
	{"state", (*shower).state},
	{"symptom", (*shower).symptom},
	{"check", (*shower).check},
	{"cause", (*shower).cause},
	{"fix", (*shower).fix},
	{"part", (*shower).part},
	{"hold", (*shower).hold},
}

func runBaseShow(a *app, s *shop.Shop, id string) error {
	show := &shower{card: card{p: a.printer(), base: s.Base()}, shop: s}
	var found []shownJSON
	for _, x := range showers {
		out, tell, err := x.show(show, id)
		if err != nil {
			return err
		}
		if tell == nil {
			continue
		}
		out.Kind = x.kind
		found = append(found, out)
		if a.json {
			continue
		}
		if len(found) > 1 {
			show.p.line("")
		}
		tell()
	}
	if len(found) == 0 {
		for _, list := range baseLists {
			if now := s.Base().Today(list, id); now != id {
				return fmt.Errorf("%s %s is called %s today; see: sootsayer base show %s", kindOf[list], id, now, now)
			}
		}
		return unknownEntry(id, completeEntries(s, "", ""))
	}
	if a.json {
		return a.printJSON(found)
	}
	return nil
}

// unknownEntry names the nearest id, or how to look for one.
func unknownEntry(id string, have []string) error {
	if _, near := kb.Nearest(id, have); near {
		return kb.UnknownID("entry", id, have)
	}
	return fmt.Errorf("no entry %q; look for it with: sootsayer find %s", id, shellWords(strings.ReplaceAll(id, "-", " ")))
}
