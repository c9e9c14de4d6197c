package index

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// openerEnv names the folder that a second process of the test opens.
const openerEnv = "SOOTSAYER_TEST_INDEX"

// runOpener is the second process: it opens, asks and closes the index over and
// over, of two bases in turn, so that it keeps being replaced.
func runOpener(dir string) int {
	for i := range 12 {
		if err := openAndAsk(dir, i%2 == 0); err != nil {
			fmt.Println(err)
			return 1
		}
	}
	return 0
}

func openAndAsk(dir string, whole bool) error {
	b := testBase()
	if !whole {
		b.Parts = nil
		b.Reindex()
	}
	var said []string
	x, err := Open(dir, b, Options{Log: func(s string) { said = append(said, s) }})
	if err != nil {
		return err
	}
	defer x.Close()
	hits, err := x.Search(context.Background(), Query{Text: "no heat", Limit: 1})
	if err != nil {
		return err
	}
	if len(hits) != 1 || hits[0].ID != "no-warmth" {
		return fmt.Errorf("found %v", hits)
	}
	for _, s := range said {
		if strings.Contains(s, "damaged") {
			return fmt.Errorf("an undamaged index was called damaged: %s", s)
		}
	}
	return nil
}

// TestTwoProcesses lets processes open and replace the same index at once.
func TestTwoProcesses(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "index")
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			cmd := exec.Command(program)
			cmd.Env = append(os.Environ(), openerEnv+"="+dir)
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("%v: %s", err, out)
			}
		})
	}
	wg.Wait()
	if left, _ := filepath.Glob(dir + ".*"); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestManyAtOnce opens, searches and closes from several goroutines.
func TestManyAtOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "index")
	var wg sync.WaitGroup
	for i := range 6 {
		wg.Go(func() {
			if err := openAndAsk(dir, i%3 != 0); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
}

// TestConcurrentSearches asks one index from several goroutines, and closes it
// under them.
func TestConcurrentSearches(t *testing.T) {
	x, err := Open(filepath.Join(t.TempDir(), "index"), testBase(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := found(t, x, Query{Text: "oil smell"})
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 50 {
				hits, err := x.Search(context.Background(), Query{Text: "oil smell"})
				if err == ErrClosed {
					return
				}
				if err != nil || len(hits) != len(want) {
					t.Errorf("%d hits, %v; want %d", len(hits), err, len(want))
					return
				}
				x.Understand("no heat, oil smel", "")
			}
		})
	}
	wg.Go(func() {
		for range 20 {
			x.Understand("fan does not run", "")
		}
		if err := x.Close(); err != nil {
			t.Error(err)
		}
	})
	wg.Wait()
}
