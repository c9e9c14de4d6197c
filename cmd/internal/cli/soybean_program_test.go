package cli_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"

	"sootsayer/cmd/internal/cli"
	"sootsayer/ranker"
)

// shopProgram is the program as a shop uses it, by its commands, on a store and
// a base of its own.
type shopProgram struct {
	t     *testing.T
	d     *soyCases
	flags []string                  // --store and --base
	knows map[string]ranker.Ranking // answers of `rank` by what was found
}

// newShopProgram writes a base without knowledge and imports the training cases.
func newShopProgram(t *testing.T, d *soyCases) *shopProgram {
	t.Helper()
	p := &shopProgram{t: t, d: d, knows: make(map[string]ranker.Ranking),
		flags: []string{"--base", d.writeBase(t, soyStrength, soyTableStrength), "--store", filepath.Join(t.TempDir(), "store")}}
	var did struct{ Imported, Bad int }
	p.run(&did, "job", "import", d.writeJobs(t))
	if did.Imported != len(d.training) || did.Bad != 0 {
		t.Fatalf("imported %+v of %d", did, len(d.training))
	}
	return p
}

// run runs a command in the process of the test and reads its JSON.
func (p *shopProgram) run(answer any, args ...string) {
	p.t.Helper()
	var out, errs bytes.Buffer
	code := cli.Run(context.Background(), slices.Concat(args, p.flags, []string{"--json", "--by", "ann"}),
		cli.Env{In: strings.NewReader(""), Out: &out, Err: &errs, Getenv: func(string) string { return "" }})
	if code != cli.ExitDone {
		p.t.Fatalf("sootsayer %s: exit %d\n%s%s", strings.Join(args, " "), code, &out, &errs)
	}
	if err := json.Unmarshal(out.Bytes(), answer); err != nil {
		p.t.Fatalf("sootsayer %s: %v", strings.Join(args, " "), err)
	}
}

// rank asks the program once about what was seen.
func (p *shopProgram) rank(seen []seenLevel) ranker.Ranking {
	p.t.Helper()
	args := []string{"rank", "--family", soybean}
	for _, s := range seen {
		args = append(args, "--found", p.d.found(s))
	}
	key := strings.Join(args, " ")
	r, ok := p.knows[key]
	if !ok {
		p.run(&r, args...)
		p.knows[key] = r
	}
	return r
}

func (p *shopProgram) posterior(seen []seenLevel) []float64 {
	out := make([]float64, len(p.d.causes))
	for _, c := range p.rank(seen).Causes {
		out[slices.Index(p.d.causes, c.ID)] = c.Probability
	}
	return out
}

func (p *shopProgram) order(seen []seenLevel) []int {
	var list []int
	for _, c := range p.rank(seen).Checks {
		list = append(list, slices.Index(p.d.observations, c.ID))
	}
	return list
}

// agreesWith compares every answer so far with the plain twin's.
func (p *shopProgram) agreesWith(plain *plainBayes) {
	p.t.Helper()
	for _, a := range p.knows {
		seen := make([]seenLevel, len(a.Evidence))
		for i, e := range a.Evidence {
			j := slices.Index(p.d.observations, e.ID)
			seen[i] = seenLevel{j, slices.Index(p.d.levels[j], e.Outcome)}
		}
		want := plain.posterior(seen)
		if got := p.posterior(seen); !floats.EqualApprox(got, want, 1e-9) {
			p.t.Fatalf("after %v the chances are %v, want %v", a.Evidence, got, want)
		}
		if open := len(p.d.observations) - len(seen); len(a.Checks) != open {
			p.t.Fatalf("after %v %d checks are listed, want %d", a.Evidence, len(a.Checks), open)
		}
		for _, c := range a.Checks {
			if bits := plain.gain(want, slices.Index(p.d.observations, c.ID)); math.Abs(c.Bits-bits) > 1e-9 || c.BitsPerMinute != c.Bits {
				p.t.Fatalf("after %v %s gives %v bits, want %v", a.Evidence, c.ID, c.Bits, bits)
			}
		}
	}
}
