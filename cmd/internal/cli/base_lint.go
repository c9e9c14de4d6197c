package cli

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/data"
	"sootsayer/kb"
)

func newBaseLint(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "lint [DIR]",
		Short: "Check a base for mistakes, each with its place",
		Long: `Check a base for mistakes: the one in a folder, or the one shipped. Each stands
with its file, line and column and what to write instead. Errors keep a base
from being used; warnings do not.`,
		Example: `  sootsayer base lint ./our-base
  sootsayer base lint`,
		Args: argsBetween(0, 1),
		RunE: func(_ *cobra.Command, args []string) error { return runBaseLint(a, args) },
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		},
	}
}

func runBaseLint(a *app, args []string) error {
	dir := a.base
	if len(args) > 0 {
		if dir != "" && filepath.Clean(dir) != filepath.Clean(args[0]) {
			return usagef("two folders are named: %s and --base %s; name one", args[0], dir)
		}
		dir = args[0]
	}
	b, problems, err := lintBase(dir)
	if err != nil {
		return err
	}
	if a.json {
		if err := a.printJSON(append(kb.Problems{}, problems...)); err != nil {
			return err
		}
	} else {
		tellProblems(a.printer(), dir, b, problems)
	}
	if n := len(problems.Errors()); n > 0 {
		return fmt.Errorf("the base %s has %s; no other command takes it until they are mended", baseName(dir), counted(n, "error"))
	}
	return nil
}

// lintBase loads and lints the base of a folder, or the shipped one from its
// files, so that places are known.
func lintBase(dir string) (*kb.Base, kb.Problems, error) {
	if dir != "" {
		return shop.ReadBase(dir)
	}
	b, problems := kb.Load(data.Files())
	return b, append(problems, b.Lint()...).InOrder(), nil
}

func baseName(dir string) string {
	if dir == "" {
		return "shipped with this program"
	}
	return "in " + dir
}

// tellProblems writes one problem a paragraph, its place first so that an
// editor can go there, and a summary.
func tellProblems(p *printer, dir string, b *kb.Base, problems kb.Problems) {
	for _, x := range problems {
		if dir != "" && x.File != "" {
			x.File = filepath.Join(dir, x.File)
		}
		for i, l := range wrap(x.Error(), p.width-4) {
			if i > 0 {
				l = "    " + l
			}
			p.line("%s", l)
		}
	}
	if len(problems) > 0 {
		p.line("")
	}
	errs, warnings := len(problems.Errors()), len(problems.Warnings())
	text := fmt.Sprintf("The base %s: %s, %s. ", baseName(dir), counted(errs, "error"), counted(warnings, "warning"))
	if errs > 0 {
		p.para("", text+"Mend the errors first; there may be more behind them.")
		return
	}
	p.para("", text+fmt.Sprintf("It can be used: %s, %s, %s, %s and %s.", counted(len(b.Symptoms), "symptom"), counted(len(b.Checks), "check"),
		counted(len(b.Causes), "cause"), countedAs(len(b.Fixes), "fix", "fixes"), counted(len(b.Parts), "part")))
}

// counted writes a number of things, their name in the plural unless it is one.
func counted(n int, name string) string { return countedAs(n, name, name+"s") }

func countedAs(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
