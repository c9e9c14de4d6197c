package main

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// pure packages work on values only, so that the same code can run in a phone's
// browser where there is no signal.
var pure = []string{"kb", "kb/learn", "kb/stock", "ranker", "ranker/score"}

// mayImport lists, for each package of the design, which of the project's own
// packages it may import. Imports point downwards only.
var mayImport = map[string][]string{
	"kb":                   {},
	"kb/journal":           {"kb"},
	"kb/learn":             {"kb"},
	"kb/stock":             {"kb"},
	"ranker":               {"kb"},
	"ranker/score":         {"kb", "kb/learn", "ranker"},
	"index":                {"kb"},
	"data":                 {"kb"},
	"data/gen":             {"data", "kb", "kb/learn", "ranker"},
	"cmd/internal/picture": {},
	"cmd/internal/shop":    {"data", "index", "kb", "kb/journal", "kb/learn", "kb/stock", "ranker", "ranker/score"},
	"cmd/internal/cli":     {"cmd/internal/picture", "cmd/internal/shop", "cmd/internal/web", "data", "index", "kb", "kb/journal", "kb/learn", "kb/stock", "ranker", "ranker/score"},
	"cmd/internal/web":     {"cmd/internal/shop", "index", "kb", "kb/journal", "kb/learn", "kb/stock", "ranker", "ranker/score"},
	"cmd/sootsayer":        {"cmd/internal/cli"},
}

// impure are what a pure package must not reach, not even through others.
var impure = map[string]string{
	"net":                             "no network",
	"net/http":                        "no network",
	"os/exec":                         "no processes",
	"go.etcd.io/bbolt":                "no storage",
	"github.com/blevesearch/bleve/v2": "no index",
}

// notDirectly are what a pure package must not import itself: fmt and others
// of the standard library reach them, which does no harm.
var notDirectly = map[string]string{
	"os":            "no files; take an fs.FS or values",
	"math/rand":     "no unseeded chance; take a seeded math/rand/v2 source",
	"crypto/rand":   "no unseeded chance",
	"log":           "return errors; the commands print",
	"io/ioutil":     "no files",
	"path/filepath": "no files; paths of an fs.FS are package path's",
}

type listed struct {
	ImportPath string
	Imports    []string
	Deps       []string
}

func goList(t *testing.T, args ...string) []listed {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list", "-json=ImportPath,Imports,Deps"}, args...)...)
	cmd.Dir = "../.."
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var list []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return list
		} else if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
}

// TestImportsPointDownwards holds the tree to the design.
func TestImportsPointDownwards(t *testing.T) {
	for _, p := range goList(t, "./...") {
		name := strings.TrimPrefix(p.ImportPath, "sootsayer/")
		allowed, known := mayImport[name]
		if !known {
			t.Errorf("package %s is not in the design; add it to DEVELOPERS.md and to mayImport", name)
			continue
		}
		for _, i := range p.Imports {
			own, is := strings.CutPrefix(i, "sootsayer/")
			if is && !slices.Contains(allowed, own) {
				t.Errorf("%s imports %s; imports point downwards only: cmd -> index, kb/*, ranker/* -> kb", name, own)
			}
		}
		if !slices.Contains(pure, name) {
			continue
		}
		for _, d := range p.Deps {
			if why, bad := impure[d]; bad {
				t.Errorf("%s is pure but reaches %s: %s", name, d, why)
			}
		}
		for _, i := range p.Imports {
			if why, bad := notDirectly[i]; bad {
				t.Errorf("%s is pure but imports %s: %s", name, i, why)
			}
		}
	}
}

// TestPureKeepNoClock: a pure package takes the time as an argument.
func TestPureKeepNoClock(t *testing.T) {
	for _, p := range pure {
		dir := "../../" + p
		entries, err := os.ReadDir(dir)
		if errors.Is(err, os.ErrNotExist) {
			continue // of a later issue
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if e.IsDir() || !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
				continue
			}
			src, err := os.ReadFile(dir + "/" + e.Name())
			if err != nil {
				t.Fatal(err)
			}
			for _, word := range []string{"time.Now(", "time.Since(", "time.Sleep("} {
				if strings.Contains(string(src), word) {
					t.Errorf("%s/%s calls %s; take the time as an argument", p, e.Name(), word)
				}
			}
		}
	}
}

// TestPureBuildForTheBrowser builds the pure packages for js/wasm.
func TestPureBuildForTheBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the standard library for another system")
	}
	args := []string{"build"}
	for _, p := range pure {
		if _, err := os.Stat("../../" + p); err == nil {
			args = append(args, "./"+p)
		}
	}
	cmd := exec.Command("go", args...)
	cmd.Dir = "../.."
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
