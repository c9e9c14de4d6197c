package cli

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"sootsayer": func() { os.Exit(Run(context.Background(), os.Args[1:], Env{})) },
	})
}

// TestScripts runs the sessions in testdata/script: each is a person at a
// terminal, with a store of their own and the shipped base.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("..", "..", "..", "testdata", "script"),
		RequireExplicitExec: true,
		Cmds:                scriptCommands,
		Condition:           scriptCondition,
		Setup: func(env *testscript.Env) error {
			env.Setenv("SOOTSAYER_STORE", filepath.Join(env.WorkDir, "store"))
			env.Setenv("SOOTSAYER_BY", "ann")
			env.Setenv("TZ", "UTC")
			return nil
		},
	})
}
