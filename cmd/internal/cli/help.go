package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/kb"
)

// finish gives the whole tree what its commands have in common: help in plain
// words that fits the terminal, unknown words refused, completions.
func (a *app) finish(root *cobra.Command) {
	strictVerbs(root)
	root.SetHelpFunc(func(cmd *cobra.Command, _ []string) {
		if a.json {
			_ = a.printJSON(describe(cmd)) // cobra's help has no error to return
			return
		}
		a.printHelp(describe(cmd))
	})
	root.SetHelpCommand(newHelp(a))
	for _, folder := range []string{"store", "base"} {
		if err := root.MarkPersistentFlagDirname(folder); err != nil {
			panic(err) // the flag is missing: a mistake in this package
		}
	}
	a.completeJobs(root)
}

// strictVerbs makes a word that is no command wrong use, all down the tree, with
// the nearest that is one. A noun by itself shows its help.
func strictVerbs(c *cobra.Command) {
	c.DisableFlagsInUseLine = true // what they are stands below, in words
	if !c.HasSubCommands() {
		return
	}
	c.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		var verbs []string
		for _, sub := range visible(cmd) {
			verbs = append(verbs, sub.Name())
		}
		if near, ok := kb.Nearest(args[0], verbs); ok {
			return usagef("no command %q; did you mean: %s %s?", args[0], cmd.CommandPath(), near)
		}
		return usagef("no command %q; see: %s --help", args[0], cmd.CommandPath())
	}
	c.RunE = func(cmd *cobra.Command, _ []string) error { return cmd.Help() }
	for _, sub := range c.Commands() {
		strictVerbs(sub)
	}
}

func newHelp(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Say how a command is written and what it does",
		Example: `  sootsayer help
  sootsayer help job close`,
		Args: func(cmd *cobra.Command, args []string) error {
			_, err := commandNamed(cmd.Root(), args)
			return err
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			of, err := commandNamed(cmd.Root(), args)
			if err != nil {
				return err
			}
			return of.Help()
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			var out []string
			if of, err := commandNamed(cmd.Root(), args); err == nil {
				for _, c := range visible(of) {
					if strings.HasPrefix(c.Name(), typed) {
						out = append(out, c.Name()+"\t"+c.Short)
					}
				}
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// visible returns the commands below one that people are told of.
func visible(c *cobra.Command) []*cobra.Command {
	return slices.DeleteFunc(slices.Clone(c.Commands()), func(sub *cobra.Command) bool { return sub.Hidden })
}

// commandNamed goes down the tree by words; one that is no command is wrong
// use.
func commandNamed(c *cobra.Command, words []string) (*cobra.Command, error) {
	for i, w := range words {
		var next *cobra.Command
		for _, sub := range c.Commands() {
			if sub.Name() == w {
				next = sub
			}
		}
		switch {
		case next != nil:
			c = next
		case c.HasAvailableSubCommands():
			return nil, c.ValidateArgs(words[i:])
		default:
			return nil, usagef("%s has no commands of its own; see: %s --help", c.CommandPath(), c.CommandPath())
		}
	}
	return c, nil
}
