package kb

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// supersededSample has a part that was superseded twice over, one of whose
// numbers is a former id.
const supersededSample = `schema: 1
families: [{id: oil, name: Oil}]
parts:
  - {id: eye-1, was: [eye-0], name: Eye, superseded_by: eye-2}
  - {id: eye-2, name: Eye, superseded_by: eye-3}
  - {id: eye-3, was: [eye-x], name: Eye, slots: 0.5}
  - {id: pump, name: Pump}
`

func TestSuperseded(t *testing.T) {
	b, problems := loadText(supersededSample)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for id, want := range map[string]string{"eye-0": "eye-3", "eye-1": "eye-3", "eye-2": "eye-3", "eye-3": "eye-3", "eye-x": "eye-3", "pump": "pump", "gone": "gone"} {
		if got := b.Today("parts", id); got != want {
			t.Errorf("%s is %s today, want %s", id, got, want)
		}
	}
	if d := cmp.Diff([]string{"eye-0", "eye-1", "eye-2", "eye-x"}, b.FormerNumbers("eye-3")); d != "" {
		t.Error("former numbers (-want +got):\n", d)
	}
	if got := b.FormerNumbers("pump"); got != nil {
		t.Errorf("former numbers of the pump: %v", got)
	}
	if p, ok := b.Part("eye-1"); !ok || p.Name != "Eye" {
		t.Error("the old number cannot be looked up any more")
	}
	j := &Job{Closing: &Closing{Used: map[string]float64{"eye-0": 1, "eye-2": 2, "eye-3": 4, "pump": 1}}}
	now, changed := b.Renamed(j)
	if d := cmp.Diff(map[string]float64{"eye-3": 7, "pump": 1}, now.Closing.Used); d != "" || !changed {
		t.Error("pieces used (-want +got):\n", d)
	}
	if again, changed := b.Renamed(now); changed || again != now {
		t.Error("renaming twice changes the job again")
	}
	if p, _ := b.Part("eye-3"); p.Room() != 0.5 {
		t.Errorf("room %g, want 0.5", p.Room())
	}
	if p, _ := b.Part("pump"); p.Room() != 1 {
		t.Errorf("room %g where none is stated, want 1", p.Room())
	}
}

// TestSuccessions compares with following the numbers one by one, on bases with
// chains, forks, circles and ends that are not there.
func TestSuccessions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 8
		by := make([]int, n+1)
		b := &Base{}
		for i := range n {
			p := Part{ID: fmt.Sprint("p", i), Name: "P"}
			if by[i] = rapid.IntRange(-4, n).Draw(t, "by"); by[i] >= 0 {
				p.SupersededBy = fmt.Sprint("p", by[i]) // p8 is not there
			}
			b.Parts = append(b.Parts, p)
		}
		b.Reindex()
		_, circles := b.successions()
		inCircle := make(map[string]bool)
		for _, c := range circles {
			for i, id := range c {
				inCircle[id] = true
				if p, _ := b.Part(id); p.SupersededBy != c[(i+1)%len(c)] {
					t.Fatalf("%v is no circle", c)
				}
			}
		}
		for i := range n {
			want, at, circle := fmt.Sprint("p", i), i, false
			for range n + 1 {
				if at == n || by[at] < 0 {
					break
				}
				at = by[at]
				circle = circle || at == i
			}
			if at != n && by[at] < 0 {
				want = fmt.Sprint("p", at)
			}
			if got := b.Today("parts", fmt.Sprint("p", i)); got != want {
				t.Fatalf("p%d is %s today, want %s (%v)", i, got, want, by)
			}
			if inCircle[fmt.Sprint("p", i)] != circle {
				t.Fatalf("p%d: in a circle %v, want %v (%v)", i, !circle, circle, by)
			}
		}
	})
}

func TestLintParts(t *testing.T) {
	const head = `schema: 1
families: [{id: oil, name: Oil}]
states: [{id: power, values: ["on", "off"], minutes: {"on>off": 1, "off>on": 1}, basis: {kind: estimate}}]
checks: [{id: look, name: Look, families: [oil], minutes: 1, how: [Look.], outcomes: [{id: ok, name: ok}, {id: bad, name: bad}], normally: {ok: 1}, if: {worn: {bad: 1}}, basis: {kind: estimate}}]
causes: [{id: worn, name: Worn, share: {oil: 1}, fix: swap, basis: {kind: estimate}}]
`
	fix := func(part string) string {
		return "fixes: [{id: swap, name: Swap, minutes: 1, cures: 1, proof: look, parts: [{part: " + part + ", qty: 1, chance: 1}], basis: {kind: estimate}}]\nparts:\n"
	}
	part := func(id, more string) string {
		return "  - {id: " + id + ", name: X" + more + ", basis: {kind: estimate}}\n"
	}
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"sound": {fix("new") + part("new", ", supplier: supplier-a, min_order: 5, slots: 2, alternates: [other]") + part("other", "") + part("old", ", superseded_by: new"), nil},
		"itself": {fix("new") + part("new", "") + part("old", ", superseded_by: old"),
			[]string{`part "old": it supersedes itself; take it out of the part that is ordered today`}},
		"circle": {fix("new") + part("new", "") + part("a", ", superseded_by: b") + part("b", ", superseded_by: a") + part("c", ", superseded_by: a"),
			[]string{`part "a": these parts supersede each other in a circle: a, b, a; take it out of the part that is ordered today`}},
		"unknown":               {fix("new") + part("new", ", superseded_by: nwe"), []string{`part "new": there is no part "nwe"; did you mean "new"?`}},
		"a fix takes it":        {fix("old") + part("new", "") + part("old", ", superseded_by: new"), []string{`fix "swap": part "old" was superseded; name "new"`, `warning: part "new": no fix uses it; use it or take it out`}},
		"its own alternate":     {fix("new") + part("new", ", alternates: [new]"), []string{`part "new": it is named as its own alternate; take it out`}},
		"alternate twice":       {fix("new") + part("new", ", alternates: [b, b]") + part("b", ""), []string{`part "new": part "b" is given twice; remove one of the two`}},
		"alternate unknown":     {fix("new") + part("new", ", alternates: [nww]"), []string{`part "new": there is no part "nww"; did you mean "new"?`}},
		"alternate is old":      {fix("new") + part("new", ", alternates: [a]") + part("a", ", superseded_by: b") + part("b", ""), []string{`part "new": part "a" was superseded; name "b"`, `warning: part "b": no fix uses it; use it or take it out`}},
		"alternate and its new": {fix("new") + part("new", ", alternates: [a, b]") + part("a", ", superseded_by: b") + part("b", ""), []string{`part "new": part "a" was superseded by "b", which is named too; take it out`}},
		"alternate is its own old": {fix("new") + part("new", ", alternates: [old]") + part("old", ", superseded_by: new"),
			[]string{`part "new": part "old" was superseded by this one and is no alternate; take it out`}},
		"no pieces": {fix("new") + part("new", ", min_order: 0, slots: 0, supplier: Supplier A"), []string{
			`part "new": "supplier" is "Supplier A", which is not an id; write lower-case words and digits joined by -, such as "supplier-a"`,
			`part "new": "min_order" is 0, less than the least allowed 1; write a number of 1 or more`, `part "new": "slots" is 0, less than the least allowed 0.01; write a number of 0.01 or more`}},
	} {
		t.Run(name, func(t *testing.T) {
			b, problems := loadText(head + c.text)
			problems = append(problems, b.Lint()...).InOrder()
			var got []string
			for _, p := range problems {
				text := p.Error()
				if _, rest, ok := strings.Cut(text, "yaml:"); ok {
					_, text, _ = strings.Cut(rest, ": ")
				}
				got = append(got, text)
			}
			slices.Sort(got)
			slices.Sort(c.want)
			if d := cmp.Diff(c.want, got); d != "" {
				t.Error("problems (-want +got):\n", d)
			}
		})
	}
}
