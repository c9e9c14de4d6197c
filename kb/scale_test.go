package kb

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// bigBase writes a base of n causes and n checks in four files: a row or two
// for each cause, a fix shared by three causes, and effects here and there.
func bigBase(n int) fstest.MapFS {
	rng := rand.New(rand.NewPCG(1, uint64(n)))
	var head, causes, fixes, checks strings.Builder
	head.WriteString(`schema: 1
families: [{id: oil, name: Oil furnace}, {id: gas, name: Gas furnace}]
components: [{id: nozzle, name: Nozzle, families: [oil, gas]}]
states:
  - {id: power, values: ["on", "off"], minutes: {"on>off": 1, "off>on": 1}, basis: {kind: estimate}}
symptoms:
  - id: no-heat
    name: No heat
    families: [oil, gas]
    minutes: 0.5
    normally: {"no": 0.9, "yes": 0.1}
    if:
`)
	causes.WriteString("schema: 1\ncauses:\n")
	fixes.WriteString("schema: 1\nfixes:\n")
	checks.WriteString("schema: 1\nchecks:\n")
	for i := range n {
		if i < 5000 {
			fmt.Fprintf(&head, "      cause-%d: {\"yes\": %.2f}\n", i, 0.2+0.7*rng.Float64())
		}
		family := "oil"
		if i%3 == 0 {
			family = "gas"
		}
		fmt.Fprintf(&causes, "  - {id: cause-%d, name: Cause %d, component: nozzle, share: {%s: %d}, fix: fix-%d, basis: {kind: estimate}", i, i, family, 1+i%7, i/3)
		if i%5 == 0 && i+3 < n {
			fmt.Fprintf(&causes, ", leads_to: {cause-%d: 0.1}", i+3)
		}
		causes.WriteString("}\n")
		if i%3 == 0 {
			fmt.Fprintf(&fixes, "  - {id: fix-%d, name: Fix %d, minutes: 10, cures: 0.9, proof: check-0, basis: {kind: estimate}}\n", i/3, i)
		}
		fmt.Fprintf(&checks, "  - id: check-%d\n    name: Check %d\n    families: [oil, gas]\n    minutes: 3\n    state: {power: \"off\"}\n    how: [\"Look at it.\"]\n"+
			"    reading: {unit: V}\n    outcomes: [{id: ok, name: good, to: 10}, {id: high, name: high, from: 10}]\n    normally: {ok: 0.9, high: 0.1}\n"+
			"    if: {cause-%d: {high: %.2f}, cause-%d: {high: 0.1}}\n    basis: {kind: estimate}\n", i, i, i, 0.2+0.7*rng.Float64(), (i+n/2)%n)
	}
	head.WriteString("    basis: {kind: estimate}\n")
	files := fstest.MapFS{}
	for name, text := range map[string]string{"head": head.String(), "causes": causes.String(), "fixes": fixes.String(), "checks": checks.String()} {
		files[name+".yaml"] = &fstest.MapFile{Data: []byte(text)}
	}
	return files
}

// TestLoadAndLintGrow: the processor time must grow like the size does. Four
// times the size may take eight times as long; a quadratic step would take
// sixteen.
func TestLoadAndLintGrow(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	sizes := []int{1250, 2500, 5000}
	load, lint := make([]time.Duration, len(sizes)), make([]time.Duration, len(sizes))
	for i, n := range sizes {
		files := bigBase(n)
		load[i], lint[i] = time.Hour, time.Hour
		for range 3 {
			b, problems := (*Base)(nil), Problems(nil)
			load[i] = min(load[i], spent(func() { b, problems = Load(files) }))
			lint[i] = min(lint[i], spent(func() { problems = append(problems, b.Lint()...) }))
			if errs := problems.Errors(); len(errs) > 0 {
				t.Fatal(errs)
			}
			if len(b.Causes) != n || len(b.Checks) != n {
				t.Fatalf("%d causes and %d checks", len(b.Causes), len(b.Checks))
			}
		}
		t.Logf("%6d causes and checks: load %v, lint %v", n, load[i], lint[i])
	}
	for what, took := range map[string][]time.Duration{"load": load, "lint": lint} {
		if growth := float64(took[2]) / float64(took[0]); growth > 8 {
			t.Errorf("%s takes %.1f times as long for four times the size", what, growth)
		}
	}
}

func spent(f func()) time.Duration {
	runtime.GC() // what came before is not to be swept at our cost
	start := cpuTime()
	f()
	return cpuTime() - start
}

// TestLintOfMistakesGrows: suggestions for 10,000 causes and checks, every row
// and proof of which names an unknown id, must not take for ever either.
func TestLintOfMistakesGrows(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	files := bigBase(10_000)
	for _, f := range files {
		f.Data = []byte(strings.NewReplacer("id: cause-", "id: cause-", "cause-", "cuase-", "proof: check", "proof: chekc").Replace(string(f.Data)))
	}
	b, problems := Load(files)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	took := spent(func() { problems = b.Lint().Errors() })
	t.Logf("lint took %v", took)
	if len(problems) != maxProblems+1 {
		t.Errorf("%d errors", len(problems))
	}
	// Comparing each of some 30,000 unknown ids with 10,000 known ones would
	// take minutes; only those that are shown are compared.
	if took > 30*time.Second {
		t.Errorf("lint took %v", took)
	}
}

// Benchmarks of load and lint by the number of causes, which is also that of
// checks.
func BenchmarkLoad(b *testing.B) {
	for _, n := range []int{1000, 2000, 4000, 10_000} {
		b.Run(fmt.Sprintf("causes=%d", n), func(b *testing.B) {
			files := bigBase(n)
			var size int64
			for _, f := range files {
				size += int64(len(f.Data))
			}
			b.SetBytes(size)
			for b.Loop() {
				if _, problems := Load(files); len(problems) > 0 {
					b.Fatal(problems)
				}
			}
		})
	}
}

func BenchmarkLint(b *testing.B) {
	for _, n := range []int{1000, 2000, 4000, 10_000} {
		b.Run(fmt.Sprintf("causes=%d", n), func(b *testing.B) {
			base, _ := Load(bigBase(n))
			for b.Loop() {
				base.Lint()
			}
		})
	}
}

func BenchmarkLoadShipped(b *testing.B) {
	shippedBase(b)
	for b.Loop() {
		shippedBase(b)
	}
}

func BenchmarkLintShipped(b *testing.B) {
	base, _ := shippedBase(b)
	for b.Loop() {
		base.Lint()
	}
}
