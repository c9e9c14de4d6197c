package index

import (
	"fmt"
	"os"
	"testing"

	"github.com/blevesearch/bleve/v2"
	"go.uber.org/goleak"
)

// TestMain ends bleve's workers and looks for goroutines that are left. Started
// by TestTwoProcesses or TestJobsTwoProcesses the test binary is the second
// process instead.
func TestMain(m *testing.M) {
	if dir := os.Getenv(openerEnv); dir != "" {
		os.Exit(runOpener(dir))
	}
	if dir := os.Getenv(jobsEnv); dir != "" {
		if err := searchShared(dir, 25); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	code := m.Run()
	bleve.Config.Shutdown()
	if err := goleak.Find(); err != nil {
		os.Stderr.WriteString(err.Error() + "\n")
		code = 1
	}
	os.Exit(code)
}
