package shop

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// dryRunText tries a file out.
func dryRunText(t testing.TB, s *Shop, text string, m *Mapping) (DryRun, []string) {
	t.Helper()
	var said []string
	did, err := s.DryRunJobs(t.Context(), strings.NewReader(text), ImportOptions{File: "jobs.csv", Map: m,
		Problem: func(p RowProblem) { said = append(said, p.Error()) }})
	if err != nil {
		t.Fatal(err)
	}
	return did, said
}

// openNoStore opens a shop that has recorded nothing.
func openNoStore(t testing.TB) *Shop {
	t.Helper()
	s, err := Open(Config{Store: t.TempDir() + "/none", Base: "testdata/base", Now: testClock})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// drawFile draws a file in which jobs stand twice, come back, and are wrong now
// and then.
func drawFile(t *rapid.T) string {
	var b strings.Builder
	b.WriteString(header)
	for range rapid.IntRange(0, 25).Draw(t, "rows") {
		job := rapid.IntRange(1, 4).Draw(t, "job")
		day := rapid.IntRange(1, 6).Draw(t, "day")
		closed := day + rapid.IntRange(-1, 2).Draw(t, "days")
		family := rapid.SampledFrom([]string{"oil-furnace", "oil-furnace", "oil-furnace", "gas-furnace", "furnace"}).Draw(t, "family")
		cause := rapid.SampledFrom([]string{"unlisted", "unlisted", "tank-water"}).Draw(t, "cause")
		back := ""
		if rapid.Bool().Draw(t, "back") {
			back = fmt.Sprint(rapid.IntRange(1, 4).Draw(t, "callback of"))
		}
		fmt.Fprintf(&b, "%d,2024-10-%02d,2024-10-%02d,%s,,,,,,,%s,,,,%s\n", job, day, closed, family, cause, back)
	}
	return b.String()
}

// TestDryRunForetells: a dry run says what the import then does, on a new store
// and on one that has some of the jobs, and changes nothing.
func TestDryRunForetells(t *testing.T) {
	dir, stores := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		stores++
		s, _ := openSmall(t, fmt.Sprintf("%s/%d", dir, stores))
		defer s.Close()
		for i := range 2 {
			text := drawFile(rt)
			none := DryRun{}
			if i == 0 {
				none, _ = dryRunText(t, openNoStore(t), text, nil)
			}
			before, _ := s.journal.Seq()
			dry, wrong := dryRunText(t, s, text, nil)
			if after, _ := s.journal.Seq(); after != before {
				rt.Fatalf("the dry run recorded %d events", after-before)
			}
			did, said := importText(t, s, text)
			want := fmt.Sprint(did.Rows, did.Imported, did.Already, did.Bad)
			if got := fmt.Sprint(dry.Rows, dry.Good, dry.Already, dry.Bad); got != want {
				rt.Fatalf("foretold %s, was %s of:\n%s\nforetold:\n%s\nsaid:\n%s", got, want, text, strings.Join(wrong, "\n"), strings.Join(said, "\n"))
			}
			if i == 0 && fmt.Sprint(none.Rows, none.Good, none.Already, none.Bad) != want {
				rt.Fatalf("without a store %+v, was %s of:\n%s", none, want, text)
			}
			if len(wrong) != len(said) {
				rt.Fatalf("foretold %q, said %q", wrong, said)
			}
		}
	})
}

// TestDryRunShows: the first rows as they are understood, and the words that the
// base does not have.
func TestDryRunShows(t *testing.T) {
	m := mustMap(t, "schema: 1\nlist: comma\ndates: D.M.YYYY\ncolumns: {job: No, opened: In, closed: In, family: Unit, causes: Found, complaint: [Says, Note]}\nvalues: {family: {oil: oil-furnace}}\n")
	did, said := dryRunText(t, openNoStore(t), "No,In,Unit,Found,Says,Note,Van\n"+
		"1,3.2.2024,Oil,tank-water,no heat,\"it \"\"barks\"\"\",7\n"+
		"2,4.2.2024,oil,\"nozle plugged,tank-water\",,,7\n"+
		"3,5.2.2024,gas,nozle plugged,,,\n"+
		"4,5.2.2024,oil,\"nozle plugged,gremlins\",,,\n", m)
	want := DryRun{Rows: 4, Good: 1, Bad: 3, Unread: []string{"Van"}, Dates: "M.D.YYYY",
		First: []DryRow{
			{Line: 2, Columns: []DryCell{{"job", "1", ""}, {"opened", "2024-02-03", "3.2.2024"}, {"closed", "2024-02-03", "3.2.2024"},
				{"family", "oil-furnace", "Oil"}, {"complaint", "no heat; it \"barks\"", "no heat / it \"barks\""}, {"causes", "tank-water", ""}}},
			{Line: 3, Columns: []DryCell{{"job", "2", ""}, {"opened", "2024-02-04", "4.2.2024"}, {"closed", "2024-02-04", "4.2.2024"},
				{"family", "oil-furnace", "oil"}, {"causes", "nozle plugged;tank-water", "nozle plugged,tank-water"}},
				Wrong: []RowProblem{{"jobs.csv", 3, "causes", `no cause of oil-furnace "nozle plugged"; to map it, add under values, causes in map.yaml: nozle plugged: nozzle-plugged`, "nozle plugged", "nozzle-plugged"}}},
			{Line: 4, Columns: []DryCell{{"job", "3", ""}, {"opened", "2024-02-05", "5.2.2024"}, {"closed", "2024-02-05", "5.2.2024"}, {"family", "gas", ""}, {"causes", "nozle plugged", ""}},
				Wrong: []RowProblem{{"jobs.csv", 4, "family", `no family "gas"; to map it, add under values, family in map.yaml: gas: gas-furnace`, "gas", "gas-furnace"}}},
		},
		Unknown: []Unknown{{"causes", "nozle plugged", 2, "nozzle-plugged"}, {"causes", "gremlins", 1, ""}, {"family", "gas", 1, "gas-furnace"}},
		Values:  "values:\n  family:\n    gas: gas-furnace  # once\n  causes:\n    nozle plugged: nozzle-plugged  # 2 times\n#    gremlins: ID  # once\n",
	}
	if diff := cmp.Diff(want, did); diff != "" {
		t.Errorf("dry run (-want +got):\n%s\n%q", diff, said)
	}
	if _, err := ReadMapping("map.yaml", []byte("schema: 1\n"+did.Values), m.base); err != nil {
		t.Errorf("what it offers to map is no mapping: %v", err)
	}
}

// TestOfferToMap: what a dry run offers maps every word that something is near
// to, whatever the word.
func TestOfferToMap(t *testing.T) {
	s := openNoStore(t)
	rapid.Check(t, func(rt *rapid.T) {
		word := rapid.StringMatching(`[A-Za-z0-9:#"'\\ {}\[\]&*!%@.-]{1,3}`).Draw(rt, "start") + rapid.SampledFrom([]string{"tank water", "nozzle plugged", "gremlins"}).Draw(rt, "word")
		var b strings.Builder
		fmt.Fprintf(&b, "%s1,2024-10-02,2024-10-02,oil-furnace,,,,,,,\"%s\",,,,\n", header, strings.ReplaceAll(word, `"`, `""`))
		did, said := dryRunText(t, s, b.String(), nil)
		if len(did.Unknown) == 0 { // it was the same after trimming
			return
		}
		m, err := ReadMapping("map.yaml", []byte("schema: 1\n"+did.Values), s.base)
		if did.Unknown[0].Nearest == "" {
			if err != nil || !strings.Contains(did.Values, "#") {
				rt.Fatalf("offered %q, error %v", did.Values, err)
			}
			return
		}
		if err != nil {
			rt.Fatalf("of %q it offers %q: %v", said, did.Values, err)
		}
		if again, said := dryRunText(t, s, b.String(), m); again.Good != 1 {
			rt.Fatalf("mapped by %q: %+v %q", did.Values, again, said)
		}
	})
}
