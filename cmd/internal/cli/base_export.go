package cli

import (
	"github.com/spf13/cobra"

	"sootsayer/kb"
)

func newBaseExport(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "export",
		Short: "Print the whole base as one file",
		Long: `Print the whole base, merged, as one YAML file that can be used as a base again;
with --json as JSON. Comments and the division into files are lost.`,
		Example: `  sootsayer base export > our-base/base.yaml
  sootsayer base export --base ./our-base --json`,
		Args: argsBetween(0, 0),
		RunE: func(*cobra.Command, []string) error {
			b, err := a.baseOnly()
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(b)
			}
			text, err := b.YAML()
			if err != nil {
				return err
			}
			_, err = a.env.Out.Write(text)
			return err
		},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
}

func newBaseSchema(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of a base's files, for editors",
		Long: `Print the JSON Schema of one file of a base. Editors that know it help with
writing and mark mistakes. With --base or without, it is the same.`,
		Example: "  sootsayer base schema > base.schema.json",
		Args:    argsBetween(0, 0),
		RunE: func(*cobra.Command, []string) error {
			_, err := a.env.Out.Write(kb.JSONSchema())
			return err
		},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
}
