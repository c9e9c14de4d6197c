package shop

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

var testNow = time.Date(2025, time.March, 1, 8, 0, 0, 0, time.UTC)

func testClock() time.Time { return testNow }

// openSmall opens a new store with the small base of testdata.
func openSmall(t testing.TB, dir string) (*Shop, *[]string) {
	t.Helper()
	notices := new([]string)
	s, err := Open(Config{Store: dir, Base: "testdata/base", By: "ann", Write: true,
		Now:    testClock,
		Notice: func(text string) { *notices = append(*notices, text) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s, notices
}

// importText imports a file and returns what was said of its rows.
func importText(t testing.TB, s *Shop, text string) (Imported, []string) {
	t.Helper()
	var said []string
	did, err := s.ImportJobs(t.Context(), strings.NewReader(text), ImportOptions{File: "jobs.csv",
		Problem: func(p RowProblem) { said = append(said, p.Error()) }})
	if err != nil {
		t.Fatal(err)
	}
	return did, said
}

func exportText(t testing.TB, s *Shop) string { return exported(t, s, false) }

// exportAll exports the columns too that a file may leave out.
func exportAll(t testing.TB, s *Shop) string { return exported(t, s, true) }

func exported(t testing.TB, s *Shop, all bool) string {
	t.Helper()
	var out bytes.Buffer
	if _, err := s.ExportJobs(&out, all); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// countsOf is what the shop learned, as text.
func countsOf(t testing.TB, s *Shop) string {
	t.Helper()
	d, err := s.recount()
	if err != nil {
		t.Fatal(err)
	}
	return marshalled(t, d)
}

func marshalled(t testing.TB, d *derived) string {
	t.Helper()
	text, err := json.MarshalIndent(d.counts, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func golden(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/jobs.csv")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestRoundTripGolden: what is exported from imported jobs is the file they came
// from, byte for byte, and importing it again changes nothing.
func TestRoundTripGolden(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	want := golden(t)
	did, said := importText(t, s, want)
	if diff := cmp.Diff(Imported{Rows: 9, Imported: 9, Families: map[string]int{"oil-furnace": 7, "gas-furnace": 2}}, did); diff != "" || len(said) > 0 {
		t.Fatalf("import (-want +got):\n%s%s", diff, strings.Join(said, "\n"))
	}
	if diff := cmp.Diff(want, exportText(t, s)); diff != "" {
		t.Errorf("export (-want +got):\n%s", diff)
	}
	before := countsOf(t, s)
	seq, _ := s.journal.Seq()
	if did, said := importText(t, s, want); did.Already != 9 || did.Imported != 0 || len(said) > 0 {
		t.Errorf("imported twice: %+v %v", did, said)
	}
	if again, _ := s.journal.Seq(); again != seq || countsOf(t, s) != before {
		t.Errorf("importing twice changed the store: %d events, before %d", again, seq)
	}
	other, _ := openSmall(t, t.TempDir())
	importText(t, other, want)
	if diff := cmp.Diff(before, countsOf(t, other)); diff != "" {
		t.Errorf("another store learned something else (-first +second):\n%s", diff)
	}
}

// TestImportedJobs: the rows become the jobs that they describe.
func TestImportedJobs(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	importText(t, s, golden(t))
	j, err := s.Job("5")
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Past) != 2 || j.Past[0].Causes[0] != "nozzle-plugged" || j.Closing.Causes[0] != "eye-sooted" || j.CallbackOf != "" {
		t.Errorf("job 5, opened again twice: %+v", j)
	}
	if j, _ = s.Job("4"); j.CallbackOf != "1" || len(j.Past) != 0 || len(j.Acts) != 4 {
		t.Errorf("job 4, a callback of its own: %+v", j)
	}
	if j, _ = s.Job("2"); j.Complaint != "it \"barks\"\nand smokes" || *j.Acts[2].Finding.Reading != 2400 || j.Opened != time.Date(2024, 10, 5, 12, 0, 0, 0, time.UTC) {
		t.Errorf("job 2: %+v", j)
	}
	// Of job 3 the water was seen after the nozzle was replaced, which treats
	// one of its causes: it does not tell of the tank as the job found it.
	var counts struct {
		Tables map[string]struct {
			Rows     map[string]struct{ N int }
			Normally struct{ N int }
		}
	}
	if err := json.Unmarshal([]byte(countsOf(t, s)), &counts); err != nil {
		t.Fatal(err)
	}
	if n := counts.Tables["check/tank-bottom"].Rows["tank-water"].N; n != 0 {
		t.Errorf("tank-bottom counts %d jobs to tank-water; want 0", n)
	}
	if n := counts.Tables["check/tank-bottom"].Normally.N; n != 2 {
		t.Errorf("tank-bottom counts %d jobs to normally; want jobs 1 and 5", n)
	}
}

const header = "job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,causes,confidence,parts,minutes,callback_of\n"

// TestBadRows: every mistake is named with line and column, and the good row
// beside it is imported.
func TestBadRows(t *testing.T) {
	const good = "8,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n"
	for _, test := range []struct{ name, row, want string }{
		{"no job", ",2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:job: there is no job number; write one`},
		{"job like a flag", "-x,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:job: job number "-x" holds`},
		{"job like a finding", "a=b,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:job: job number "a=b" holds "="`},
		{"no opened", "1,,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:opened: there is no time; write a date such as`},
		{"not closed", "1,2024-10-02,,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:closed: there is no closing time, and only closed jobs`},
		{"no date", "1,2024-02-30,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:opened: "2024-02-30" is not a time; write`},
		{"other date", "1,10/02/2024,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:opened: "10/02/2024" is not a time; write`},
		{"long ago", "1,0204-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:opened: the year of 0204-10-02 cannot be`},
		{"ahead", "1,2024-10-02,2042-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:closed: 2042-10-02 lies ahead of today, 2025-03-01`},
		{"closed before opened", "1,2024-10-03,2024-10-02,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:closed: 2024-10-02 lies before the opening, 2024-10-03`},
		{"closed an hour before", "1,2024-10-03T09:00:00Z,2024-10-03T08:00:00Z,oil-furnace,,,,,,,tank-water,,,,", `jobs.csv:2:closed: `},
		{"family", "1,2024-10-02,2024-10-02,oil-furnce,,,,,,,tank-water,,,,", `jobs.csv:2:family: no family "oil-furnce"; did you mean "oil-furnace"?`},
		{"no family", "1,2024-10-02,2024-10-02,,,,,,,,tank-water,,,,", `jobs.csv:2:family: there is no family; write one of: oil-furnace, gas-furnace`},
		{"symptom", "1,2024-10-02,2024-10-02,oil-furnace,,,,smoke;lock-out,,,tank-water,,,,", `jobs.csv:2:symptoms: no symptom "lock-out"; did you mean "locks-out"?`},
		{"symptom of another family", "1,2024-10-02,2024-10-02,gas-furnace,,,,smoke,,,unlisted,,,,", `jobs.csv:2:symptoms: symptom "smoke" does not belong to family "gas-furnace"`},
		{"symptom result", "1,2024-10-02,2024-10-02,oil-furnace,,,,smoke=maybe,,,tank-water,,,,", `jobs.csv:2:symptoms: no outcome of smoke "maybe"`},
		{"check", "1,2024-10-02,2024-10-02,oil-furnace,,,,,tank-botom=ok,,tank-water,,,,", `jobs.csv:2:findings: no check "tank-botom"; did you mean "tank-bottom"?`},
		{"symptom as finding", "1,2024-10-02,2024-10-02,oil-furnace,,,,,smoke=yes,,tank-water,,,,", `jobs.csv:2:findings: no check "smoke"`},
		{"outcome", "1,2024-10-02,2024-10-02,oil-furnace,,,,,tank-bottom=wet,,tank-water,,,,", `jobs.csv:2:findings: no outcome of tank-bottom "wet"`},
		{"no result", "1,2024-10-02,2024-10-02,oil-furnace,,,,,tank-bottom,,tank-water,,,,", `jobs.csv:2:findings: check "tank-bottom" needs a result: tank-bottom=ok|water`},
		{"impossible reading", "1,2024-10-02,2024-10-02,oil-furnace,,,,,eye-resistance=-4,,tank-water,,,,", `jobs.csv:2:findings: check "eye-resistance": -4 ohm cannot be`},
		{"chances", "1,2024-10-02,2024-10-02,oil-furnace,,,,,\"tank-bottom=ok:0.5,water:0.7\",,tank-water,,,,", `jobs.csv:2:findings: tank-bottom: the chances sum to 1.2`},
		{"fix", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,replace-nozle,tank-water,,,,", `jobs.csv:2:tried: no fix "replace-nozle"; did you mean "replace-nozzle"?`},
		{"found before a fix", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,tank-bottom=ok;clean-eye,tank-water,,,,", `jobs.csv:2:tried: tank-bottom=ok was found before any fix`},
		{"found after a fix", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,clean-eye;tank-bottom=wet,tank-water,,,,", `jobs.csv:2:tried: no outcome of tank-bottom "wet"`},
		{"no cause", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,;,,,,", `jobs.csv:2:causes: there is no cause; write what it was, or unlisted`},
		{"cause", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-watr,,,,", `jobs.csv:2:causes: no cause of oil-furnace "tank-watr"; did you mean "tank-water"?`},
		{"cause of another family", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,gas-valve-dead,,,,", `jobs.csv:2:causes: no cause of oil-furnace "gas-valve-dead"`},
		{"cause twice", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water;tank-water,,,,", `jobs.csv:2:causes: tank-water is named twice`},
		{"confidence 0", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,0,,,", `jobs.csv:2:confidence: "0" cannot be; write how sure it was, above 0 and up to 1`},
		{"confidence in percent", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,80,,,", `jobs.csv:2:confidence: "80" cannot be`},
		{"confidence NaN", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,NaN,,,", `jobs.csv:2:confidence: "NaN" cannot be`},
		{"part", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,nozle-085=1,,", `jobs.csv:2:parts: no part "nozle-085"; did you mean "nozzle-085"?`},
		{"no pieces", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,absorbent=,,", `jobs.csv:2:parts: "" is not a number of pieces of absorbent; write absorbent=1`},
		{"0 pieces", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,absorbent=0,,", `jobs.csv:2:parts: "0" is not a number of pieces`},
		{"infinite pieces", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,absorbent=Inf,,", `jobs.csv:2:parts: "Inf" is not a number of pieces`},
		{"minutes", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,-5,", `jobs.csv:2:minutes: "-5" cannot be; write the minutes`},
		{"goes on with nothing", "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,1", `jobs.csv:2:callback_of: it goes on with job 1, which is not there`},
		{"too few cells", "1,2024-10-02,2024-10-02,oil-furnace", `jobs.csv:2:row: it has 4 cells and the first line 15`},
		{"quote in a cell", `1,2024-10-02,2024-10-02,oil-furnace,,,3" pipe,,,,tank-water,,,,`, `jobs.csv:2:row: there is a quote at character 40 inside a cell`},
		{"quote behind a cell", `1,2024-10-02,2024-10-02,oil-furnace,,,"3" pipe",,,,tank-water,,,,`, `jobs.csv:2:row: the quotes do not match`},
		{"not UTF-8", "1,2024-10-02,2024-10-02,oil-furnace,,,caf\xe9,,,,tank-water,,,,", `jobs.csv:2:complaint: this is not UTF-8 text`},
		{"escape", "1,2024-10-02,2024-10-02,oil-furnace,,,\x1b[2J,,,,tank-water,,,,", `jobs.csv:2:complaint: "\x1b[2J" holds a character that cannot be printed`},
		{"long name", "1,2024-10-02,2024-10-02,oil-furnace," + strings.Repeat("m", 201) + ",,,,,,tank-water,,,,", `jobs.csv:2:model: "mmmmmmmmmmmmmmmmmmmm..." is 201 bytes long`},
		{"long list", "1,2024-10-02,2024-10-02,oil-furnace,,,," + strings.Repeat("smoke;", 1001) + ",,,tank-water,,,,", `jobs.csv:2:symptoms: it has 1001 entries`},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, _ := openSmall(t, t.TempDir())
			did, said := importText(t, s, header+test.row+"\n"+good)
			if did.Rows != 2 || did.Bad != 1 || did.Imported != 1 {
				t.Errorf("imported %+v; want one of two rows", did)
			}
			if len(said) != 1 || !strings.HasPrefix(said[0], test.want) {
				t.Errorf("said %q\nwant  %q...", said, test.want)
			}
			if _, err := s.Job("8"); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestBadRowNamesAll: all that is wrong with a row is said, each by the line on
// which the cell begins.
func TestBadRowNamesAll(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	did, said := importText(t, s, header+"\n1,2024-10-02,2024-10-02,oil-furnace,,,\"a\nb\",smok,,,tank,2,,,\n")
	want := []string{
		`jobs.csv:4:confidence: "2" cannot be`,
		`jobs.csv:4:symptoms: no symptom "smok"; did you mean "smoke"?`,
		`jobs.csv:4:causes: no cause of oil-furnace "tank"`,
	}
	if did.Bad != 1 || len(said) != len(want) {
		t.Fatalf("%+v: %q", did, said)
	}
	for i := range want {
		if !strings.HasPrefix(said[i], want[i]) {
			t.Errorf("said %q, want %q...", said[i], want[i])
		}
	}
}

// TestNeverClosedQuote: nothing can be read behind it, and that is said.
func TestNeverClosedQuote(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	did, said := importText(t, s, header+"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n2,2024-10-02,2024-10-02,oil-furnace,,,\"no heat,,,,tank-water,,,,\n3,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n")
	if did.Imported != 1 || did.Bad != 1 || len(said) != 1 || !strings.HasPrefix(said[0], "jobs.csv:3:row: the quotes do not match") || !strings.Contains(said[0], "lines 3 to ") {
		t.Errorf("%+v: %q", did, said)
	}
}

// TestHeader: what a file as a whole may look like.
func TestHeader(t *testing.T) {
	const row = "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n"
	for _, test := range []struct {
		name, text string
		imported   int
		want       string // in the error; in the notice where one row is imported
	}{
		{"plain", header + row, 1, ""},
		{"byte order mark", "\ufeff" + header + row, 1, ""},
		{"CRLF", strings.ReplaceAll(header+row, "\n", "\r\n"), 1, ""},
		{"capitals and spaces", strings.ToUpper(strings.ReplaceAll(header, ",", " , ")) + row, 1, ""},
		{"commas only", header + row + ",,,,,,,,,,,,,,\n\n", 1, ""},
		{"no newline at the end", strings.TrimSpace(header + row), 1, ""},
		{"other order", "callback_of,causes,family,closed,opened,job,model,appliance,complaint,symptoms,findings,tried,confidence,parts,minutes\n" +
			",tank-water,oil-furnace,2024-10-02,2024-10-02,1,,,,,,,,,\n", 1, ""},
		{"more columns", strings.Replace(header, "family", "family,van,town", 1) + strings.Replace(row, "oil-furnace", "oil-furnace,3,x", 1), 1, "nobody reads the columns van, town"},
		{"header only", header, 0, ""},
		{"empty", "", 0, "jobs.csv is empty; it needs a first line with the columns job,opened"},
		{"missing", strings.Replace(strings.Replace(header, "closed,", "", 1), "parts,", "", 1) + row, 0, "lacks the columns closed, parts; add them"},
		{"misspelt", strings.Replace(header, "confidence", "confidense", 1) + row, 0, `lacks the columns confidence; is "confidense" meant to be confidence?`},
		{"twice", strings.Replace(header, "model", "family", 1) + row, 0, "the column family is there twice"},
		{"semicolons", strings.ReplaceAll(header+row, ",", ";"), 0, `the columns are parted by ";"`},
		{"UTF-16", "\xff\xfej\x00o\x00b\x00", 0, "is UTF-16 text; save it as CSV in UTF-8"},
		{"quotes", "\"job", 0, "the first line cannot be read"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, notices := openSmall(t, t.TempDir())
			did, err := s.ImportJobs(t.Context(), strings.NewReader(test.text), ImportOptions{File: "jobs.csv"})
			if did.Imported != test.imported || did.Bad > 0 {
				t.Errorf("imported %+v, want %d rows", did, test.imported)
			}
			said := strings.Join(*notices, "\n")
			if err != nil {
				said = err.Error()
			}
			if test.want == "" && said != "" || !strings.Contains(said, test.want) || (err != nil) != (test.imported == 0 && test.want != "") {
				t.Errorf("said %q, error %v; want %q", said, err, test.want)
			}
		})
	}
}

// TestConflicts: a row that says something else of a job that is there is
// refused, in the same file and in a later one; one that says the same is not.
func TestConflicts(t *testing.T) {
	const first = "1,2024-10-02,2024-10-02,oil-furnace,,,no heat,smoke,,,tank-water,,absorbent=2,,\n"
	for _, test := range []struct {
		name, row string
		want      string // "" when it is the same
	}{
		{"the same", first, ""},
		{"the same, written otherwise", "1,2024-10-02T12:00:00Z,2024-10-02T14:00:00+02:00,oil-furnace,,, no heat ,smoke=yes,,,tank-water,1.0,absorbent;absorbent=1,0,\n", ""},
		{"another cause", strings.Replace(first, "tank-water", "eye-sooted", 1),
			`jobs.csv:9:job: job 1 is there already and says something else: causes (there "tank-water", here "eye-sooted")`},
		{"another day", strings.Replace(first, "2024-10-02", "2024-10-01", 1),
			`jobs.csv:9:job: job 1 is there already and says something else: opened (there "2024-10-02", here "2024-10-01")`},
		{"a callback of itself at the same time", strings.Replace(first, ",\n", ",1\n", 1),
			`jobs.csv:9:opened: job 1 was closed at 2024-10-02T12:00:00Z, and this row goes on with it`},
		{"a callback of itself of another family", "1,2024-10-09,2024-10-09,gas-furnace,,,,,,,unlisted,,,,1\n",
			`jobs.csv:9:family: job 1 is of family oil-furnace`},
		{"a callback of itself at another site", "1,2024-10-09,2024-10-09,oil-furnace,,x,,,,,unlisted,,,,1\n",
			`jobs.csv:9:appliance: job 1 is of appliance ""`},
	} {
		t.Run(test.name, func(t *testing.T) {
			blank := strings.Repeat("\n", 6)
			within, _ := openSmall(t, t.TempDir())
			_, inFile := importText(t, within, header+first+blank+test.row)
			later, _ := openSmall(t, t.TempDir())
			importText(t, later, header+first)
			did, inLater := importText(t, later, header+"\n"+blank+test.row)
			if diff := cmp.Diff(inFile, inLater); diff != "" {
				t.Errorf("the same file and a later one differ:\n%s", diff)
			}
			if test.want == "" {
				if did.Already != 1 || len(inLater) > 0 {
					t.Errorf("%+v %q; want it to be there already", did, inLater)
				}
				return
			}
			if len(inLater) != 1 || !strings.HasPrefix(inLater[0], test.want) {
				t.Errorf("said %q\nwant %q...", inLater, test.want)
			}
			if diff := cmp.Diff(exportText(t, within), exportText(t, later)); diff != "" {
				t.Errorf("a refused row changed something:\n%s", diff)
			}
		})
	}
}

// TestNativeJobComesBack: a job recorded here, exported and imported again, is
// known to be there though its events have ids of their own.
func TestNativeJobComesBack(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	j, err := s.OpenJob(Complaint{Words: "  no heat\r\nat all\a", Family: "oil-furnace", Symptoms: []kb.Finding{{Kind: kb.KindSymptom, ID: "smoke", Outcome: kb.Yes}}})
	if err != nil {
		t.Fatal(err)
	}
	open, _ := s.OpenJob(Complaint{Words: "open still", Family: "oil-furnace"})
	if _, err = s.CloseJob(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1}); err != nil {
		t.Fatal(err)
	}
	text := exportText(t, s)
	if did, said := importText(t, s, text); did.Already != 1 || did.Bad > 0 {
		t.Errorf("%+v %q", did, said)
	}
	if strings.Contains(text, "open still") {
		t.Errorf("the open job was exported: %s", text)
	}
	_, said := importText(t, s, header+open.ID+",2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n")
	if len(said) != 1 || !strings.Contains(said[0], "job 2 is there already and open") {
		t.Errorf("said %q", said)
	}
}

// TestDanglingCallback: an earlier job may come later in the file; one that
// never comes is said, and does no harm.
func TestDanglingCallback(t *testing.T) {
	s, notices := openSmall(t, t.TempDir())
	did, said := importText(t, s, header+
		"1,2024-10-09,2024-10-09,oil-furnace,,,,,,,tank-water,,,,2\n"+
		"2,2024-10-02,2024-10-02,oil-furnace,,,,,,,eye-sooted,,,,\n"+
		"3,2024-10-09,2024-10-09,oil-furnace,,,,,,,tank-water,,,,99\n")
	if did.Imported != 3 || len(said) > 0 {
		t.Errorf("%+v %q", did, said)
	}
	if want := []string{"jobs.csv: callback_of names jobs that are not there: 99 (line 4)"}; !cmp.Equal(want, *notices) {
		t.Errorf("notices %q, want %q", *notices, want)
	}
}

// TestMixedTimes: a bare date goes together with a time on the same day.
func TestMixedTimes(t *testing.T) {
	for _, test := range []struct{ name, opened, closed, want string }{
		{"both dates", "2024-10-02", "2024-10-02", "1,2024-10-02,2024-10-02,"},
		{"closed a date, opened late", "2024-10-02T15:00:00-05:00", "2024-10-02", "1,2024-10-02T20:00:00Z,2024-10-02T20:00:00Z,"},
		{"opened a date, closed early", "2024-10-02", "2024-10-02T08:00:00Z", "1,2024-10-02T08:00:00Z,2024-10-02T08:00:00Z,"},
		{"parts of a second", "2024-10-02T08:00:00.25Z", "2024-10-03", "1,2024-10-02T08:00:00.25Z,2024-10-03,"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, _ := openSmall(t, t.TempDir())
			text := header + "1," + test.opened + "," + test.closed + ",oil-furnace,,,,,,,tank-water,,,,\n"
			if _, said := importText(t, s, text); len(said) > 0 {
				t.Fatal(said)
			}
			if out := exportText(t, s); !strings.Contains(out, test.want) {
				t.Errorf("exported %q, want %q", out, test.want)
			}
			if did, _ := importText(t, s, text); did.Already != 1 {
				t.Errorf("imported again: %+v", did)
			}
		})
	}
}

// manyRows is a file of n jobs.
func manyRows(n int) string {
	var b strings.Builder
	b.WriteString(header)
	for i := range n {
		fmt.Fprintf(&b, "%d,2024-10-02,2024-10-02,oil-furnace,,,,smoke;locks-out=no,tank-bottom=ok;eye-resistance=%d,,eye-sooted,,,,\n", i+1, 2000+i)
	}
	return b.String()
}

// TestBrokenOff: a file that breaks off, or a person who does, leaves whole
// jobs behind, and importing again goes on from there.
func TestBrokenOff(t *testing.T) {
	const n = 2000
	text := manyRows(n)
	broken := errors.New("the disk was pulled out")
	readers := map[string]func(stop func()) io.Reader{
		"read error": func(func()) io.Reader {
			return io.MultiReader(strings.NewReader(text[:3*len(text)/4]), iotest.ErrReader(broken))
		},
		"stopped": func(stop func()) io.Reader {
			return io.MultiReader(strings.NewReader(text[:3*len(text)/4]), onRead(stop), strings.NewReader(text[3*len(text)/4:]))
		},
	}
	for name, reader := range readers {
		t.Run(name, func(t *testing.T) {
			s, _ := openSmall(t, t.TempDir())
			ctx, stop := context.WithCancel(t.Context())
			defer stop()
			did, err := s.ImportJobs(ctx, reader(stop), ImportOptions{File: "jobs.csv"})
			if !errors.Is(err, broken) && !errors.Is(err, context.Canceled) || did.Imported == 0 || did.Imported == n {
				t.Fatalf("%+v, error %v; want some rows and the error", did, err)
			}
			jobs := 0
			for j, err := range s.journal.Jobs() {
				if err != nil || !j.Closed() || len(j.Acts) != 4 {
					t.Fatalf("job %+v, error %v; want it whole", j, err)
				}
				jobs++
			}
			if jobs != did.Imported {
				t.Errorf("%d jobs are there, %d were said to be imported", jobs, did.Imported)
			}
			again, said := importText(t, s, text)
			if again.Already != jobs || again.Imported != n-jobs || len(said) > 0 {
				t.Errorf("again: %+v %q", again, said)
			}
		})
	}
}

// onRead is an empty reader that does something when it is read.
type onRead func()

func (f onRead) Read([]byte) (int, error) {
	f()
	return 0, io.EOF
}

// TestProgress: it counts up to the end of the file.
func TestProgress(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	text := golden(t)
	var bytes int64
	var rows int
	_, err := s.ImportJobs(t.Context(), strings.NewReader(text), ImportOptions{File: "jobs.csv", Progress: func(b int64, r int) {
		if b < bytes || r != rows+1 {
			t.Errorf("progress went from %d bytes, %d rows to %d, %d", bytes, rows, b, r)
		}
		bytes, rows = b, r
	}})
	if err != nil || bytes != int64(len(text)) || rows != 9 {
		t.Errorf("ended at %d of %d bytes, %d rows, error %v", bytes, len(text), rows, err)
	}
}

// BenchmarkImportRows is the time for one row, written and counted.
func BenchmarkImportRows(b *testing.B) {
	s, _ := openSmall(b, b.TempDir())
	text := manyRows(b.N)
	b.ResetTimer()
	importText(b, s, text)
}
