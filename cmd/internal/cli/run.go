package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/kb"
)

// Exit codes.
const (
	ExitDone   = 0 // it did what was asked
	ExitFailed = 1 // it could not; standard error says why and what to do
	ExitUsage  = 2 // the command was written wrongly
)

// Env is what a command touches besides its arguments. Zero fields stand for
// the process's own.
type Env struct {
	In     io.Reader
	Out    io.Writer
	Err    io.Writer
	Getenv func(string) string
	Now    func() time.Time
}

// usageError is a mistake in how the command was written.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// Run runs one command line, without the program's name, and returns its exit
// code.
func Run(ctx context.Context, args []string, env Env) int {
	env.fill()
	root := newRoot(&env)
	root.SetArgs(args)
	root.SetIn(env.In)
	root.SetOut(env.Out)
	root.SetErr(env.Err)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return ExitDone
	}
	fmt.Fprintf(env.Err, "sootsayer: %v\n", err)
	var usage usageError
	var unknown *kb.UnknownIDError
	if errors.As(err, &usage) || errors.As(err, &unknown) {
		return ExitUsage
	}
	return ExitFailed
}

func (e *Env) fill() {
	if e.In == nil {
		e.In = os.Stdin
	}
	if e.Out == nil {
		e.Out = os.Stdout
	}
	if e.Err == nil {
		e.Err = os.Stderr
	}
	if e.Getenv == nil {
		e.Getenv = os.Getenv
	}
	if e.Now == nil {
		e.Now = time.Now
	}
}

// argsBetween bounds the number of arguments; a complaint counts as wrong use and shows how
// the command is written. A negative most is no bound.
func argsBetween(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < least || most >= 0 && len(args) > most {
			return usagef("write: %s", cmd.UseLine())
		}
		return nil
	}
}
