package cli

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
)

func newVerify(a *app) *cobra.Command {
	var repair bool
	cmd := &cobra.Command{
		Use:   "verify [--repair]",
		Short: "Check that nothing in the store is damaged, and repair it",
		Long: `Check that nothing in the store is damaged: every event with its checksum, the
jobs with their events, the base, the indexes of the base and of past jobs, the
counts the shop learned from with all jobs counted anew, and what is kept of
parts with the events.

With --repair what is wrong is put right by the mildest means. The journal is
all that matters: the rest is made anew from it. A damaged file is kept beside
its repaired copy, never deleted.`,
		Example: `  sootsayer verify
  sootsayer verify --repair
  sootsayer verify --store /srv/shop/sootsayer`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runVerify(cmd.Context(), a, cmd.CommandPath(), repair)
		},
	}
	cmd.Flags().BoolVar(&repair, "repair", false, "put right what is wrong")
	return cmd
}

// verifiedJSON is the JSON answer of a verification.
type verifiedJSON struct {
	Sound bool `json:"sound"`
	shop.Verification
}

func runVerify(ctx context.Context, a *app, program string, repair bool) error {
	progress, done := a.progress()
	v, err := shop.VerifyStore(ctx, shop.Config{Store: a.storeDir(), Base: a.base, By: a.who(), Now: a.env.Now, Program: program, Notice: a.notice},
		repair, func(part string) { progress("looking at " + part) })
	done()
	if err != nil {
		return err
	}
	if a.json {
		if err := a.printJSON(verifiedJSON{Sound: v.Sound(), Verification: v}); err != nil {
			return err
		}
	} else {
		tellVerified(a.printer(), &v)
	}
	return verdict(&v, repair)
}

// stateWords say how a part was found.
var stateWords = map[shop.PartState]string{
	shop.PartSound:     "sound",
	shop.PartAbsent:    "sound",
	shop.PartOutdated:  "sound",
	shop.PartWrong:     "WRONG",
	shop.PartRepaired:  "repaired",
	shop.PartUnchecked: "not checked",
}

func tellVerified(p *printer, v *shop.Verification) {
	p.para("Store ", v.Store)
	for i := range v.Parts {
		part := &v.Parts[i]
		text := stateWords[part.State] + ": " + part.Says
		p.para("  "+pad(part.Part, 9), text)
		if len(part.Wrong) == 0 {
			continue
		}
		word := "- "
		if part.State == shop.PartRepaired {
			word = "- was: "
		}
		for _, w := range part.Wrong {
			p.para("    "+word, w)
		}
	}
	if v.Sound() {
		p.line("Nothing is wrong.")
	}
}

// verdict is the error for what is still wrong.
func verdict(v *shop.Verification, repair bool) error {
	if v.Sound() {
		return nil
	}
	var wrong, base bool
	for i := range v.Parts {
		if v.Parts[i].State == shop.PartWrong {
			base = base || v.Parts[i].Part == "base"
			wrong = wrong || v.Parts[i].Part != "base"
		}
	}
	switch {
	case wrong && repair:
		return errors.New("not all could be repaired; see above")
	case wrong:
		return errors.New("the store is damaged; put it right with: sootsayer verify --repair")
	case base:
		return errors.New("the base cannot be used; see: sootsayer base lint")
	}
	return fmt.Errorf("the store is sound again, but lost %s; restore from a copy or record again what is missing", counted(len(v.Salvage.Lost), "event"))
}

// progress returns what says on a terminal what is going on, and what wipes
// that away. It is written to standard error, and nowhere else than on a
// terminal.
func (a *app) progress() (say func(string), done func()) {
	f := a.progressTerminal()
	if f == nil {
		return func(string) {}, func() {}
	}
	return func(text string) { fmt.Fprint(f, wipe+text+" ...") }, func() { fmt.Fprint(f, wipe) }
}
