package cli

import (
	"encoding/json"
	"os/user"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

// app is what all commands of one run share.
type app struct {
	env   *Env
	store string
	base  string
	by    string
	json  bool
}

const safetyNote = `This work can hurt: fire, fumes, shock. What sootsayer says is advice for
trained people. Local codes, the equipment's own manual and licensed
technicians come first; never bypass a safety control to run a heater.`

func newRoot(env *Env) *cobra.Command {
	a := &app{env: env}
	root := &cobra.Command{
		Use:   "sootsayer",
		Short: "Find out what is wrong with a heater, in few minutes and a safe order",
		Long: `sootsayer turns a complaint into likely causes, says which check is worth
doing next for the minutes it costs, and learns from every closed job.

` + safetyNote,
		Example: `  sootsayer demo
  sootsayer job open starts then locks out --family oil-furnace
  sootsayer job record supply-voltage=117
  sootsayer job close --cause nozzle-plugged`,
		Args:              argsBetween(0, 0),
		RunE:              func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: false},
	}
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usagef("%w\nsee: %s --help", err, cmd.CommandPath())
	})
	f := root.PersistentFlags()
	f.StringVar(&a.store, "store", "", "folder of the store (default $SOOTSAYER_STORE, else your data folder)")
	f.StringVar(&a.base, "base", "", "folder of the base (default: the one shipped)")
	f.StringVar(&a.by, "by", "", "who acts (default $SOOTSAYER_BY, else your login name)")
	f.BoolVar(&a.json, "json", false, "print JSON")
	root.AddCommand(newRank(a), newJob(a), newFind(a), newBase(a), newPriors(a), newScore(a), newPhrase(a), newStock(a), newVerify(a), newCompletion(a), newDemo(a))
	a.finish(root)
	return root
}

// open opens the shop; write tells whether the command records anything.
func (a *app) open(cmd *cobra.Command, write bool) (*shop.Shop, error) {
	return shop.Open(a.config(cmd, write))
}

// withShop runs a command in the open shop.
func (a *app) withShop(cmd *cobra.Command, write bool, run func(*shop.Shop) error) error {
	s, err := a.open(cmd, write)
	if err != nil {
		return err
	}
	defer s.Close()
	return run(s)
}

func (a *app) config(cmd *cobra.Command, write bool) shop.Config {
	return shop.Config{Store: a.storeDir(), Base: a.base, By: a.who(), Write: write, Now: a.env.Now,
		Program: cmd.CommandPath(), Notice: a.notice}
}

func (a *app) storeDir() string {
	if a.store != "" {
		return a.store
	}
	dir, err := shop.DefaultStore(a.env.Getenv)
	if err != nil {
		return "" // shop.Open says why
	}
	return dir
}

// who is the person who acts.
func (a *app) who() string {
	if a.by != "" {
		return a.by
	}
	if by := a.env.Getenv("SOOTSAYER_BY"); by != "" {
		return by
	}
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return ""
}

// notice tells the person what had to be done besides.
func (a *app) notice(text string) {
	a.errln("note: " + strings.TrimSpace(text))
}

// printJSON prints an answer as indented JSON.
func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.env.Out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
