package cli

import (
	"bytes"
	"io"

	"github.com/spf13/cobra"
)

// shell is one that words can be completed in.
type shell struct {
	name, says, example string
	write               func(root *cobra.Command, w io.Writer) error
}

var shells = []shell{
	{"bash", `Print the completion script for bash. It needs the package bash-completion.

For this window only:  source <(sootsayer completion bash)
From now on: save it where bash-completion looks, then open a new window.`,
		`  source <(sootsayer completion bash)
  sootsayer completion bash > ~/.local/share/bash-completion/completions/sootsayer`,
		func(root *cobra.Command, w io.Writer) error { return root.GenBashCompletionV2(w, true) }},
	{"zsh", `Print the completion script for zsh. Save it as _sootsayer in a folder of $fpath
and open a new window. Completion itself must be on; if it is not, put these
words into ~/.zshrc: autoload -U compinit; compinit`,
		`  sootsayer completion zsh > "${fpath[1]}/_sootsayer"`,
		func(root *cobra.Command, w io.Writer) error { return root.GenZshCompletion(w) }},
	{"fish", `Print the completion script for fish. Save it in fish's folder for completions
and open a new window.`,
		`  sootsayer completion fish > ~/.config/fish/completions/sootsayer.fish`,
		func(root *cobra.Command, w io.Writer) error { return root.GenFishCompletion(w, true) }},
	{"powershell", `Print the completion script for PowerShell. For all windows from now on add its
text to your profile.`,
		`  sootsayer completion powershell | Out-String | Invoke-Expression
  sootsayer completion powershell >> $PROFILE`,
		func(root *cobra.Command, w io.Writer) error { return root.GenPowerShellCompletionWithDesc(w) }},
}

func newCompletion(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "completion",
		Short: "Let the Tab key finish commands, job numbers, checks and results",
		Long: `Print a script that lets the Tab key finish what you type: commands, flags, job
numbers, checks and their results, causes, fixes and parts.`,
		Example: `  source <(sootsayer completion bash)
  sootsayer completion zsh > "${fpath[1]}/_sootsayer"`,
	}
	for _, sh := range shells {
		cmd.AddCommand(newCompletionOf(a, sh))
	}
	return cmd
}

// scriptJSON is a completion script as data.
type scriptJSON struct {
	Shell  string `json:"shell"`
	Script string `json:"script"`
}

func newCompletionOf(a *app, sh shell) *cobra.Command {
	return &cobra.Command{
		Use:     sh.name,
		Short:   "Print the completion script for " + sh.name,
		Long:    sh.says,
		Example: sh.example,
		Args:    argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !a.json {
				return sh.write(cmd.Root(), a.env.Out)
			}
			var script bytes.Buffer
			if err := sh.write(cmd.Root(), &script); err != nil {
				return err
			}
			return a.printJSON(scriptJSON{Shell: sh.name, Script: script.String()})
		},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
}
