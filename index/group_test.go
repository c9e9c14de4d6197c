package index

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// invented are jobs of an invented shop: many listed ones, and among the
// unlisted ones two causes that the base does not know: one told by the notes,
// one by what the customer said.
func invented(t testing.TB) (listed []string, unlisted [][3]string) {
	t.Helper()
	r := rand.New(rand.NewPCG(8, 2))
	var complaints []string
	for _, c := range readComplaints(t) {
		complaints = append(complaints, c.text)
	}
	any := func(list []string) string { return list[r.IntN(len(list))] }
	notes := []string{"replaced nozzle, runs fine", "cleaned the electrodes", "new filter fitted, tank had water", "wire was loose at the control",
		"eye was sooted, wiped clean", "pump coupling worn through", "", "", "bled the line", "found the switch off"}
	for range 600 {
		listed = append(listed, any(complaints)+". "+any(notes))
	}
	for i, note := range []string{
		"mouse nest in the fan housing", "rodent nest, fan housing full", "found a mouse nest on the burner", "mice nested in the housing of the fan",
		"nest of mice blocked the fan", "mousse nest removed", "chewed insulation and a nest", "nesting mice again, cleaned housing",
	} {
		unlisted = append(unlisted, [3]string{fmt.Sprintf("m%d", i), any(complaints) + " since the thaw", note})
	}
	for i, note := range []string{"wasps in the vent", "wasp comb in the vent pipe", "vent full of wasps", "wasps plugged the orifice"} {
		unlisted = append(unlisted, [3]string{fmt.Sprintf("w%d", i), any(complaints) + ". " + note, ""})
	}
	for i, note := range []string{"thermostat behind a bookcase", "gutter ice fell on it", "painter masked the intake", "deer hit the tank", "never found out", "flood in the basement"} {
		said := any(complaints)
		if i == 0 { // more jobs say this than hold any word of a cause
			said += " since the thaw"
		}
		unlisted = append(unlisted, [3]string{fmt.Sprintf("x%d", i), said, note})
	}
	return listed, unlisted
}

func grouped(b *kb.Base, listed []string, unlisted [][3]string) Grouping {
	g := NewGrouper(b)
	for _, text := range listed {
		g.Listed(text)
	}
	for _, j := range unlisted {
		g.Unlisted(j[0], []string{j[2]}, j[1])
	}
	return g.Groups()
}

// groupIDs writes groups as "id: jobs".
func groupIDs(g Grouping) []string {
	var out []string
	for _, group := range g.Groups {
		out = append(out, group.ID+": "+strings.Join(group.Jobs, " "))
	}
	return out
}

// TestGroupsPlanted wants the planted causes found, whole and pure, with the
// words that tell them, whatever forms and typing errors they come in.
func TestGroupsPlanted(t *testing.T) {
	listed, unlisted := invented(t)
	got := grouped(shippedBase(t), listed, unlisted)
	want := []string{"nest: m0 m1 m2 m3 m4 m5 m6 m7", "wasp: w0 w1 w2 w3"}
	if d := cmp.Diff(want, groupIDs(got)); d != "" {
		t.Errorf("groups:\n%s", d)
	}
	if d := cmp.Diff([]string{"x0", "x1", "x2", "x3", "x4", "x5"}, got.Left); d != "" {
		t.Errorf("left:\n%s", d)
	}
	words := map[string]GroupWord{}
	for _, w := range got.Groups[0].Words {
		words[w.Word] = w
	}
	if w := words["nest"]; w.Jobs != 8 || w.Unlisted != 8 || w.Listed != 0 || w.Surprise < outstandingFrom {
		t.Errorf("nest: %+v", w)
	}
	if w := words["mice"]; w.Jobs != 6 {
		t.Errorf("mouse, in any form: %+v, want it in 6 jobs", w)
	}
	if got.Unlisted != 18 || got.Listed != 600 {
		t.Errorf("%d unlisted, %d listed", got.Unlisted, got.Listed)
	}
}

// TestGroupsStable: neither the order of the jobs nor unrelated new ones change
// what a group is called and who is in it.
func TestGroupsStable(t *testing.T) {
	listed, unlisted := invented(t)
	b := shippedBase(t)
	want := grouped(b, listed, unlisted)
	for seed := range uint64(4) {
		r := rand.New(rand.NewPCG(seed, 1))
		r.Shuffle(len(listed), func(i, j int) { listed[i], listed[j] = listed[j], listed[i] })
		r.Shuffle(len(unlisted), func(i, j int) { unlisted[i], unlisted[j] = unlisted[j], unlisted[i] })
		if d := cmp.Diff(want, grouped(b, listed, unlisted)); d != "" {
			t.Fatalf("in another order:\n%s", d)
		}
	}
	more := append(slices.Clone(unlisted), [3]string{"y1", "no heat. kid put a sock in the grille"}, [3]string{"y2", "smells of oil. tank was overfilled by the delivery"})
	got := grouped(b, append(slices.Clone(listed), "no heat. new motor", "dead. fuse blown"), more)
	if d := cmp.Diff(groupIDs(want), groupIDs(got)); d != "" {
		t.Errorf("with unrelated jobs:\n%s", d)
	}
}

func TestGroupsOfLittle(t *testing.T) {
	for _, c := range []struct {
		name     string
		listed   []string
		unlisted [][3]string
		groups   []string
		left     int
	}{
		{"nothing", nil, nil, nil, 0},
		{"no listed jobs to stand out against", nil, [][3]string{{"1", "mouse nest", ""}, {"2", "mouse nest", ""}}, nil, 2},
		{"one job", slices.Repeat([]string{"no heat"}, 500), [][3]string{{"1", "mouse nest", ""}}, nil, 1},
		{"no text", slices.Repeat([]string{"no heat"}, 500), [][3]string{{"1", "", ""}, {"2", "", ""}}, nil, 2},
		{"what was done only", slices.Repeat([]string{"no heat"}, 500), [][3]string{{"1", "replaced", ""}, {"2", "replaced", ""}, {"3", "replaced", ""}}, nil, 3},
		{"common words", slices.Repeat([]string{"mouse nest"}, 50), [][3]string{{"1", "mouse nest", ""}, {"2", "mouse nest", ""}}, nil, 2},
		{"a denied word is another", slices.Repeat([]string{"smoke"}, 500), [][3]string{{"1", "no smoke", ""}, {"2", "no smoke", ""}, {"3", "smoke", ""}}, []string{"no-smoke: 1 2"}, 1},
		{"synonyms of the base", slices.Repeat([]string{"no heat"}, 500), [][3]string{{"1", "cad cell turned about", ""}, {"2", "flame eye looks away", ""}}, []string{"cad-cell: 1 2"}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := grouped(testBase(), c.listed, c.unlisted)
			if d := cmp.Diff(c.groups, groupIDs(got)); d != "" || len(got.Left) != c.left {
				t.Errorf("%d left, groups:\n%s", len(got.Left), d)
			}
		})
	}
}

// plainJob are the terms of an unlisted job.
type plainJob struct{ noted, all map[string]bool }

// plainGroups is the rule of Grouper written down plainly, on terms: names of
// seeds and jobs of each group.
func plainGroups(listed []map[string]bool, jobs map[string]plainJob) (groups []string) {
	groups = plainStretch(listed, jobs, func(j plainJob) map[string]bool { return j.noted })
	return append(groups, plainStretch(listed, jobs, func(j plainJob) map[string]bool { return j.all })...)
}

// plainStretch makes the groups of one kind of terms and takes their jobs away.
func plainStretch(listed []map[string]bool, jobs map[string]plainJob, terms func(plainJob) map[string]bool) (groups []string) {
	holding := func(list []map[string]bool, term string) (n int) {
		for _, set := range list {
			if set[term] {
				n++
			}
		}
		return n
	}
	for {
		var left []map[string]bool
		all := map[string]bool{}
		for _, j := range jobs {
			left = append(left, terms(j))
			maps.Copy(all, terms(j))
		}
		stands := func(term string) bool {
			return holding(left, term) >= 2 && outstanding(holding(left, term), len(left), holding(listed, term), len(listed))
		}
		seed, most, most2 := "", 0.0, 0
		for _, term := range slices.Sorted(maps.Keys(all)) {
			n := holding(left, term)
			if s := surprise(n, len(left), holding(listed, term), len(listed)); stands(term) && (s > most || s == most && n > most2) {
				seed, most, most2 = term, s, n
			}
		}
		if seed == "" {
			return groups
		}
		var core []map[string]bool
		for _, set := range left {
			if set[seed] {
				core = append(core, set)
			}
		}
		var in []string
		for _, id := range slices.Sorted(maps.Keys(jobs)) {
			n := 0
			for term := range jobs[id].all {
				if stands(term) && holding(core, term) >= 2 && 2*holding(core, term) >= holding(left, term) {
					n++
				}
			}
			if jobs[id].all[seed] || n >= 2 {
				in = append(in, id)
			}
		}
		for _, id := range in {
			delete(jobs, id)
		}
		groups = append(groups, seed+": "+strings.Join(in, " "))
	}
}

// TestGroupsLikePlain compares random texts with the plain rule, and every job
// must be in one group or left.
func TestGroupsLikePlain(t *testing.T) {
	words := strings.Fields("wasp nest mouse gutter deer paint flood bookcase squirrel magnet teapot violin")
	b := testBase()
	rapid.Check(t, func(t *rapid.T) {
		g := NewGrouper(b)
		set := func(text string) map[string]bool {
			out := map[string]bool{}
			for _, w := range strings.Fields(text) {
				out[g.analyzer.stem(w)] = true
			}
			return out
		}
		var listed []map[string]bool
		for range rapid.IntRange(0, 60).Draw(t, "listed") {
			text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words[4:]), 0, 3).Draw(t, "listed text"), " ")
			g.Listed(text)
			listed = append(listed, set(text))
		}
		jobs := map[string]plainJob{}
		for i := range rapid.IntRange(0, 25).Draw(t, "unlisted") {
			text := func(name string) string {
				return strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 0, 3).Draw(t, name), " ")
			}
			noted, said := text("noted"), text("said")
			id := fmt.Sprintf("j%02d", i)
			g.Unlisted(id, []string{noted}, said)
			jobs[id] = plainJob{set(noted), set(noted + " " + said)}
		}
		ids := slices.Sorted(maps.Keys(jobs))
		got := g.Groups()
		placed := append([]string(nil), got.Left...)
		var lines []string
		names := map[string]bool{}
		for _, group := range got.Groups {
			placed = append(placed, group.Jobs...)
			lines = append(lines, g.analyzer.stem(group.Words[0].Word)+": "+strings.Join(group.Jobs, " "))
			names[group.ID] = true
			if len(group.Jobs) < leastGroup || group.Words[0].Jobs < 1 {
				t.Errorf("group %+v", group)
			}
		}
		slices.Sort(placed)
		if !slices.Equal(ids, placed) {
			t.Errorf("placed %v of %v", placed, ids)
		}
		if len(names) != len(got.Groups) {
			t.Errorf("%d names for %d groups", len(names), len(got.Groups))
		}
		if d := cmp.Diff(plainGroups(listed, jobs), lines); d != "" {
			t.Errorf("plain rule to this:\n%s", d)
		}
	})
}

// FuzzGroups gives any texts.
func FuzzGroups(f *testing.F) {
	f.Add("mouse nest", "mouse nest", "no heat")
	f.Add("\xff\x00 no. 2", "ſ İ ǅ", "")
	b := testBase()
	f.Fuzz(func(t *testing.T, one, two, listed string) {
		g := NewGrouper(b)
		for range 60 {
			g.Listed(listed)
		}
		g.Unlisted("1", []string{one}, two)
		g.Unlisted("2", []string{two})
		got := g.Groups()
		n := len(got.Left)
		for _, group := range got.Groups {
			n += len(group.Jobs)
			if group.ID == "" || strings.ContainsAny(group.ID, "= \n") || len(group.Words) == 0 {
				t.Errorf("group %+v", group)
			}
		}
		if n != 2 {
			t.Errorf("%d jobs placed of 2", n)
		}
	})
}
