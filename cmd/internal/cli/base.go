package cli

import (
	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newBase(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "base",
		Short: "Look into the base: what it holds, and whether it is sound",
		Long: `Look into the base, the authored knowledge: what it holds, and whether it is
sound. It is the one shipped unless --base names the folder of another.

` + safetyNote,
		Example: `  sootsayer base list
  sootsayer base show replace-nozzle
  sootsayer base lint ./our-base
  sootsayer base changed --base ./our-base`,
	}
	cmd.AddCommand(newBaseLint(a), newBaseList(a), newBaseShow(a), newBaseExport(a), newBaseSchema(a), newBaseChanged(a))
	return cmd
}

// baseOnly loads the base for a command that needs no store.
func (a *app) baseOnly() (*kb.Base, error) { return shop.LoadBase(a.base) }

// baseLists are the lists of a base, in the order of its files.
var baseLists = []string{"families", "components", "states", "symptoms", "checks", "causes", "fixes", "parts", "holds"}

// kindOf is what one entry of each list is called.
var kindOf = map[string]string{
	"families": "family", "components": "component", "states": "state", "symptoms": "symptom", "checks": "check",
	"causes": "cause", "fixes": "fix", "parts": "part", "holds": "hold",
}
