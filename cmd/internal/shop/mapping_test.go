package shop

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// smallBase is the small base of testdata.
func smallBase(t testing.TB) *kb.Base { return openNoStore(t).base }

func mustMap(t testing.TB, text string) *Mapping {
	t.Helper()
	m, err := ReadMapping("map.yaml", []byte(text), smallBase(t))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// mapAll names a heading for every column.
const mapAll = `schema: 1
separator: semicolon
list: slash
decimal: comma
dates: [M/D/YYYY, M/D/YYYY H:mm]
columns: {job: No, opened: In, closed: Out, family: Unit, model: Model, appliance: Site, complaint: [Says, Heard],
  symptoms: Seen, findings: [Look, Meter], tried: Tried, causes: Found, confidence: Sure, parts: Used, minutes: Time,
  fixes: Done, fix_minutes: Fix time, note: Remarks}
values:
  family: {OIL: oil-furnace, gas: gas-furnace}
  symptoms: {barks: nothing, Locks up: locks-out, dark smoke: [smoke, locks-out=no]}
  findings: {eye: eye-resistance, dirty nozzle: nozzle-look=plugged, Tank: tank-bottom}
  tried: {cleaned the eye: clean-eye, wet tank: tank-bottom=water}
  causes: {water: tank-water, eye: eye-sooted, both: tank-water;eye-sooted, either: tank-water|eye-sooted}
  confidence: {guess: 0.3}
  parts: {pads: absorbent, "-": none}
defaults: {confidence: 0.9, family: gas-furnace}
`

// TestMapped: a row of the shop's own becomes the row of a plain file.
func TestMapped(t *testing.T) {
	const head = "No;In;Out;Unit;Model;Site;Says;Heard;Seen;Look;Meter;Tried;Found;Sure;Used;Time;Done;Fix time;Remarks\n"
	m := mustMap(t, mapAll)
	for _, test := range []struct{ name, row, want string }{
		{"everything", "7;10/2/2024;10/3/2024 9:05;oil;m1;site;no heat;again;Locks Up@2/barks;Dirty  nozzle@4;eye=1250,5 ohm@1,5/TANK=ok;cleaned the eye@20/wet tank;water/eye;0,75;pads=2,5;75,5;clean-eye;12,5;long story",
			"7,2024-10-02,2024-10-03T09:05:00Z,oil-furnace,m1,site,no heat; again,locks-out@2,nozzle-look=plugged@4;eye-resistance=1250.5@1.5;tank-bottom=ok,clean-eye@20;tank-bottom=water,tank-water;eye-sooted,0.75,absorbent=2.5,75.5,,clean-eye,12.5,long story"},
		{"several for one word", "7;10/2/2024;10/2/2024;oil;;;;;dark smoke;;;;both;guess;-;;;;",
			"7,2024-10-02,2024-10-02,oil-furnace,,,,smoke;locks-out=no,,,tank-water;eye-sooted,0.3,none,,,,,"},
		{"one of two", "7;10/2/2024;10/2/2024;oil;;;;;;;;;water|eye;;;;;;", "7,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water|eye-sooted,0.9,,,,,,"},
		{"one of two in a word", "7;10/2/2024;10/2/2024;oil;;;;;;;;;either;;;;;;", "7,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water|eye-sooted,0.9,,,,,,"},
		{"our own words", "7;10/2/2024;10/2/2024;oil-furnace;;;;;smoke=no;tank-bottom=ok;;;nozzle-plugged;1;nozzle-085;5;;;",
			"7,2024-10-02,2024-10-02,oil-furnace,,,,smoke=no,tank-bottom=ok,,nozzle-plugged,1,nozzle-085=1,5,,,,"},
		{"defaults", "7;10/2/2024;10/2/2024;;;;;;;;;;unlisted;;;;;;", "7,2024-10-02,2024-10-02,gas-furnace,,,,,,,unlisted,0.9,,,,,,"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, _ := openSmall(t, t.TempDir())
			var said []string
			did, err := s.ImportJobs(t.Context(), strings.NewReader(head+test.row+"\n"), ImportOptions{File: "jobs.csv", Map: m,
				Problem: func(p RowProblem) { said = append(said, p.Error()) }})
			if err != nil || did.Imported != 1 {
				t.Fatalf("%+v %q, error %v", did, said, err)
			}
			if diff := cmp.Diff(wholeHeader+test.want+",\n", exportAll(t, s)); diff != "" {
				t.Errorf("export (-want +got):\n%s", diff)
			}
		})
	}
}

// TestResultColumns: a heading may stand for one check or symptom, so that its
// cells hold results.
func TestResultColumns(t *testing.T) {
	m := mustMap(t, `schema: 1
decimal: comma
columns: {job: No, opened: Day, closed: Day, family: Unit, causes: Found, symptoms: [smoke=Smoke?, Seen], findings: [eye-resistance=Eye (ohm), tank-bottom = Tank, Other]}
values:
  symptoms: {smoke=x: smoke=yes, "smoke=-": smoke=no}
  findings: {n/a: nothing, tank-bottom=wet: tank-bottom=water}
`)
	s, _ := openSmall(t, t.TempDir())
	_, err := s.ImportJobs(t.Context(), strings.NewReader("No,Day,Unit,Found,Smoke?,Seen,Eye (ohm),Tank,Other\n"+
		"1,2024-10-02,oil-furnace,tank-water,x,locks-out,\"1250,5\",Wet,nozzle-look=ok@5\n"+
		"2,2024-10-02,oil-furnace,tank-water,-,,N/A,ok@2,\n"+
		"3,2024-10-02,oil-furnace,tank-water,,,,,\n"), ImportOptions{File: "jobs.csv", Map: m, Problem: func(p RowProblem) { t.Error(p) }})
	if err != nil {
		t.Fatal(err)
	}
	want := header +
		"1,2024-10-02,2024-10-02,oil-furnace,,,,smoke;locks-out,eye-resistance=1250.5;tank-bottom=water;nozzle-look=ok@5,,tank-water,1,,,\n" +
		"2,2024-10-02,2024-10-02,oil-furnace,,,,smoke=no,tank-bottom=ok@2,,tank-water,1,,,\n" +
		"3,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,1,,,\n"
	if diff := cmp.Diff(want, exportText(t, s)); diff != "" {
		t.Errorf("export (-want +got):\n%s", diff)
	}
}

// TestMappedBadCells: what a mapping cannot read is refused, with the cell and
// what to do.
func TestMappedBadCells(t *testing.T) {
	const head = "No;In;Out;Unit;Model;Site;Says;Heard;Seen;Look;Meter;Tried;Found;Sure;Used;Time;Done;Fix time;Remarks\n"
	m := mustMap(t, mapAll)
	for _, test := range []struct{ name, row, want string }{
		{"day and month", "7;13/2/2024;10/2/2024;oil;;;;;;;;;water;;;;;;", `jobs.csv:2:opened: "13/2/2024" is no date as M/D/YYYY but one as D/M/YYYY; put the date right, or dates in map.yaml`},
		{"no date", "7;soon;10/2/2024;oil;;;;;;;;;water;;;;;;", `jobs.csv:2:opened: "soon" is not a date as M/D/YYYY or M/D/YYYY H:mm; put it right, or add how it is written to dates in map.yaml`},
		{"from the future", "7;10/2/2042;10/2/2024;oil;;;;;;;;;water;;;;;;", `jobs.csv:2:opened: 2042-10-02 lies ahead of today, 2025-03-01`},
		{"closed before opened", "7;10/3/2024;10/2/2024;oil;;;;;;;;;water;;;;;;", `jobs.csv:2:closed: 2024-10-02 lies before the opening, 2024-10-03`},
		{"a point", "7;10/2/2024;10/2/2024;oil;;;;;;;eye=1.250;;water;;;;;;", `jobs.csv:2:findings: the point in "1.250" may part thousands or stand before decimals; write the number without it, or decimal: point in map.yaml`},
		{"a point in minutes", "7;10/2/2024;10/2/2024;oil;;;;;;;;;water;;;1.5;;;", `jobs.csv:2:minutes: the point in "1.5" may part thousands`},
		{"unknown word", "7;10/2/2024;10/2/2024;oil;;;;;;;;;tank with water;;;;;;", `jobs.csv:2:causes: no cause of oil-furnace "tank with water"; to map it, add under values, causes in map.yaml: tank with water: tank-water`},
		{"nothing near", "7;10/2/2024;10/2/2024;oil;;;;;;;;;#1: gremlins;;;;;;", `jobs.csv:2:causes: no cause of oil-furnace "#1: gremlins"; to map it, add under values, causes in map.yaml: "#1: gremlins": ID; what there is: sootsayer base list causes`},
		{"unknown outcome", "7;10/2/2024;10/2/2024;oil;;;;;;;Tank=watery;;water;;;;;;", `jobs.csv:2:findings: no outcome of tank-bottom "watery"; to map it, add under values, findings in map.yaml: tank-bottom=watery: tank-bottom=water`},
		{"unknown family", "7;10/2/2024;10/2/2024;oil furnac;;;;;;;;;water;;;;;;", `jobs.csv:2:family: no family "oil furnac"; to map it, add under values, family in map.yaml: oil furnac: oil-furnace`},
		{"our mark in an entry", "7;10/2/2024;10/2/2024;oil;;;;;;;;;\"tank; water\";;;;;;", `jobs.csv:2:causes: no cause "tank; water"; to map it, add under values, causes in map.yaml: "tank; water": tank-water`},
		{"cells", "7;10/2/2024", `jobs.csv:2:row: it has 2 cells and the first line 19; put a cell that holds a semicolon in quotes`},
		{"no job number", ";10/2/2024;10/2/2024;oil;;;;;;;;;water;;;;;;", `jobs.csv:2:job: there is no job number`},
	} {
		t.Run(test.name, func(t *testing.T) {
			did, said := dryRunText(t, openNoStore(t), head+test.row+"\n", m)
			if did.Bad != 1 || len(said) != 1 || !strings.HasPrefix(said[0], test.want) {
				t.Errorf("%+v\nsaid %q\nwant %q...", did, said, test.want)
			}
		})
	}
}

// TestDerivedJobs: a shop without job numbers tells jobs apart by some of its
// cells: the same ones are the same job, in every file.
func TestDerivedJobs(t *testing.T) {
	m := mustMap(t, "schema: 1\ncolumns: {job: [Date, Customer], opened: Date, closed: Date, causes: Found, note: Remarks}\ndefaults: {family: oil-furnace}\n")
	s, _ := openSmall(t, t.TempDir())
	in := func(text string) (Imported, []string) {
		var said []string
		did, err := s.ImportJobs(t.Context(), strings.NewReader(text), ImportOptions{File: "jobs.csv", Map: m, Problem: func(p RowProblem) { said = append(said, p.Error()) }})
		if err != nil {
			t.Fatal(err)
		}
		return did, said
	}
	const head = "Date,Customer,Found,Remarks\n"
	did, said := in(head + "2024-10-02,Elm St 4,tank-water,\n2024-10-02,Elm St 5,tank-water,\n2024-10-02,ELM  st 4,tank-water,\n2024-10-02,Elm St 4,tank-water,x\n,,unlisted,\n")
	if did.Imported != 2 || did.Already != 1 || did.Bad != 2 {
		t.Fatalf("%+v %q", did, said)
	}
	// The number was worked out with Python 3's hashlib and base64.
	for i, want := range []string{
		`jobs.csv:5:job: job row-467rfa6t0pak is there`, `jobs.csv:6:job: there is no job number`} {
		if !strings.HasPrefix(said[i], want) {
			t.Errorf("said %q, want %q...", said[i], want)
		}
	}
	if !strings.HasSuffix(said[0], `says something else: note (there "", here "x"); give this row another number, or leave it out; if it is another job, name one more heading for job in map.yaml`) {
		t.Errorf("said %q", said[0])
	}
	if did, said := in("Remarks,Found,Customer,Date\n,tank-water,Elm St 4,2024-10-02\n"); did.Already != 1 {
		t.Errorf("with the columns in another order: %+v %q", did, said)
	}
}

// TestMappingMistakes: what is wrong with a mapping is said with its place.
func TestMappingMistakes(t *testing.T) {
	const columns = "columns: {job: A, opened: B, closed: B, family: C, causes: D}\n"
	for _, test := range []struct{ name, text, want string }{
		{"empty", "", "map.yaml: the file is empty; begin it with the line: schema: 1"},
		{"no schema", columns, `map.yaml:1:1: "schema" is missing; add schema: ... (version of the format: 1)`},
		{"newer", "schema: 2\n", "map.yaml:1:9: the file has schema 2 and this program reads schema 1; update sootsayer"},
		{"unknown field", "schema: 1\ncolums: {}\n", `map.yaml:2:1: "colums" is not a field of a mapping; did you mean "columns"?`},
		{"given twice", "schema: 1\nlist: comma\nlist: plus\n", `map.yaml:3:1: "list" is given twice, first at map.yaml:2:1; remove one of the two`},
		{"separator", "schema: 1\nseparator: comma-or-so\n", `map.yaml:2:12: "separator" is "comma-or-so", which is not one of the words allowed; write one of comma, semicolon, tab, pipe`},
		{"no YAML", "schema: 1\ncolumns: {job: A\n", "map.yaml:2:10: this is not YAML"},
		{"unknown column", "schema: 1\ncolumns: {job: A, opened: B, closed: B, famly: C, causes: D}\n", `map.yaml:2:1: no heading is given for family; name the heading that tells which kind of equipment it was`},
		{"unknown column, nearest", "schema: 1\ncolumns: {job: A, opened: B, closed: B, family: C, causes: D, symptom: E}\n", `map.yaml:2:63: "symptom" is not a column of ours; did you mean "symptoms"?`},
		{"nothing for causes", "schema: 1\ncolumns: {job: A, opened: B, closed: B, family: C}\n", "map.yaml:2:1: no heading is given for causes; name the heading that tells what it was"},
		{"number as a key", "schema: 1\n" + columns + "values: {causes: {17: tank-water}}\n", `map.yaml:3:19: "values.causes" has a key that is a number, not text; put it in quotes: "17"`},
		{"several headings for a model", "schema: 1\ncolumns: {job: A, opened: B, closed: B, family: C, causes: D, model: [E, F]}\n", "map.yaml:2:70: model cannot be put together from several headings; name the one that holds it"},
		{"unknown cause", "schema: 1\n" + columns + "values: {causes: {x: tank-wter}}\n", `map.yaml:3:22: no cause "tank-wter"; did you mean "tank-water"?`},
		{"unknown candidate", "schema: 1\n" + columns + "values: {causes: {x: tank-water|y}}\n", `map.yaml:3:22: no cause "y"; there are: nozzle-plugged, tank-water, eye-sooted, gas-valve-dead; write an id of the base, or nothing`},
		{"unknown check", "schema: 1\n" + columns + "values: {findings: {x: [tank-bottom, tank]}}\n", `map.yaml:3:38: no check "tank"`},
		{"unknown outcome", "schema: 1\n" + columns + "values: {findings: {x: tank-bottom=wet}}\n", `map.yaml:3:24: no outcome of tank-bottom "wet"`},
		{"unknown finding after a fix", "schema: 1\n" + columns + "values: {tried: {x: tank-botom=ok}}\n", `map.yaml:3:21: no check or symptom "tank-botom"; did you mean "tank-bottom"?`},
		{"no number", "schema: 1\n" + columns + "values: {confidence: {x: high}}\n", `map.yaml:3:26: "high" is not a number`},
		{"words of a job", "schema: 1\n" + columns + "values: {job: {x: y}}\n", "map.yaml:3:10: the words of job are taken as they are; take it out"},
		{"several families", "schema: 1\n" + columns + "values: {family: {x: [oil-furnace, gas-furnace]}}\n", "map.yaml:3:22: family holds one value, not several; write one"},
		{"word twice", "schema: 1\n" + columns + "values: {causes: {Water: tank-water, water: tank-water}}\n", `map.yaml:3:38: "water" is given twice; capitals and spaces do not tell words apart`},
		{"default of job", "schema: 1\n" + columns + "defaults: {job: 5}\n", "map.yaml:3:12: job cannot be the same for all jobs"},
		{"default family", "schema: 1\n" + columns + "defaults: {family: furnace}\n", `map.yaml:3:20: no family "furnace"`},
		{"blank heading", "schema: 1\ncolumns: {job: \" \"}\n", `map.yaml:2:16: "columns.job" is blank; write some text`},
		{"callback of derived jobs", "schema: 1\ncolumns: {job: [A, E], opened: B, closed: B, family: C, causes: D, callback_of: F}\n", "map.yaml:2:68: callback_of names an earlier job by its number, and the jobs have none of their own"},
		{"comma twice", "schema: 1\nlist: comma\ndecimal: comma\n", "map.yaml:2:7: a comma cannot part a list where it stands before decimals"},
		{"dates", "schema: 1\ndates: [M/D/YYYY, mm/DD/YYYY]\n", `map.yaml:2:19: "mm/DD/YYYY" does not say how a date is written: it needs the year, the month and the day (mm are minutes, MM is the month)`},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := ReadMapping("map.yaml", []byte(test.text), smallBase(t))
			if err == nil || !strings.HasPrefix(err.Error(), test.want) {
				t.Errorf("error %v\nwant  %s...", err, test.want)
			}
		})
	}
}

// TestMappedHeaders: what a shop's file as a whole may look like.
func TestMappedHeaders(t *testing.T) {
	const columns = "schema: 1\ncolumns: {job: Job No, opened: In, closed: In, family: Unit, causes: Found}\n"
	for _, test := range []struct{ name, mapping, text, want string }{
		{"plain", columns, "Job No,In,Unit,Found\n1,2024-10-02,oil-furnace,tank-water\n", ""},
		{"other order, capitals, spaces", columns, "FOUND,unit,In, job  no \ntank-water,oil-furnace,2024-10-02,1\n", ""},
		{"byte order mark", columns, "\ufeffJob No,In,Unit,Found\n1,2024-10-02,oil-furnace,tank-water\n", ""},
		{"tabs", columns + "separator: tab\n", "Job No\tIn\tUnit\tFound\n1\t2024-10-02\toil-furnace\ttank-water\n", ""},
		{"pipes", columns + "separator: pipe\n", "Job No|In|Unit|Found\n1|2024-10-02|oil-furnace|tank-water\n", ""},
		{"our own headings", "schema: 1\nseparator: semicolon\n", strings.ReplaceAll(header+"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n", ",", ";"), ""},
		{"our own headings, one by default", "schema: 1\ndefaults: {family: oil-furnace}\n", strings.Replace(header, "family,", "", 1) + "1,2024-10-02,2024-10-02,,,,,,,tank-water,,,,\n", ""},
		{"Windows letters", columns + "encoding: windows-1252\n", "Job No,In,Unit,Found\n1\x96\xe9,2024-10-02,oil-furnace,tank-water\n", ""},
		{"misspelt", columns, "Job Number,In,Unit,Foundd\n", `map.yaml:2:16: jobs.csv has no heading "Job No"; its headings are Job Number, In, Unit, Foundd` + "\n" + `map.yaml:2:70: jobs.csv has no heading "Found"; did you mean "Foundd"?`},
		{"twice", columns, "Job No,In,Unit,Found,unit\n", `map.yaml:2:56: jobs.csv has the heading "Unit" twice; rename one of the two in the file`},
		{"semicolons", columns, "Job No;In;Unit;Found\n", `jobs.csv: the columns are parted by ";"; save it with "," between the columns, or write separator: semicolon in a file for --map`},
		{"empty", columns, "", "jobs.csv is empty; it needs a first line with the headings that map.yaml names"},
		{"heading not UTF-8", columns, "Job No,In,Unit,Found,Stra\xdfe\n", "jobs.csv: the first line is not UTF-8 text; save the file as CSV in UTF-8, or write encoding: windows-1252"},
		{"UTF-8 after all", columns + "encoding: windows-1252\n", "\ufeffJob No,In,Unit,Found\n", "jobs.csv begins with the mark of UTF-8 text; take encoding out of map.yaml"},
	} {
		t.Run(test.name, func(t *testing.T) {
			did, err := openNoStore(t).DryRunJobs(t.Context(), strings.NewReader(test.text), ImportOptions{File: "jobs.csv", Map: mustMap(t, test.mapping)})
			switch {
			case test.want == "" && (err != nil || did.Good != 1):
				t.Errorf("%+v, error %v", did, err)
			case test.want != "" && (err == nil || !strings.HasPrefix(err.Error(), test.want)):
				t.Errorf("error %v\nwant  %s...", err, test.want)
			}
		})
	}
	m := mustMap(t, columns+"encoding: windows-1252\n")
	did, _ := dryRunText(t, openNoStore(t), "Job No,In,Unit,Found\n1\x96\xe9,2024-10-02,oil-furnace,tank-water\n", m)
	if got := did.First[0].Columns[0].Value; got != "1–é" { // Windows-1252: 96 is an en dash, E9 an e with acute (code page 1252, Microsoft)
		t.Errorf("the letters were read as %q", got)
	}
}
