package shop

import (
	"errors"
	"io"
	"os"
	"strings"
	"testing"

	"sootsayer/kb"
)

// FuzzRows reads any bytes as a file of closed jobs. Nothing panics; every row
// that is taken in is written as cells that read back to the same cells, and
// the journal takes its events.
func FuzzRows(f *testing.F) {
	text, err := os.ReadFile("testdata/jobs.csv")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(text))
	f.Add(header + "1,2024-10-02,,oil-furnace,,,\"a\nb\",smok,,,tank,2,,,\n")
	f.Add("\ufeff" + header + "x,2024-10-02T23:59:60Z,9999-10-02,oil-furnace,,,,smoke=yes:0.5,eye-resistance=1e-320,clean-eye;smoke=no,unlisted,1e-300,absorbent=0x1p-3;absorbent=1e6,1e5,x\n")
	f.Add(wholeHeader + "1,2024-10-02,2024-10-02,oil-furnace,m1,,,smoke=no@1e-3,eye-resistance=2400 ohm@2.5,replace-nozzle@15;tank-bottom=water@3,tank-water|eye-sooted,0.7,none,55,,clean-eye,20,\"a\nb\",\n")
	base := smallBase(f)
	f.Fuzz(func(t *testing.T, text string) { readAll(t, base, text, nil) })
}

// FuzzMapping reads any bytes as a mapping and any as a file read with it. Nothing
// panics, and the rows that it makes of the file are those of a plain file.
func FuzzMapping(f *testing.F) {
	f.Add(mapAll, "No;In;Out;Unit;Model;Site;Says;Heard;Seen;Look;Meter;Tried;Found;Sure;Used;Time;Done;Fix time;Remarks\n"+
		"7;10/2/2024;10/3/2024 9:05;oil;m1;site;no heat;again;Locks Up@2/barks;Dirty  nozzle@4;eye=1250,5 ohm@1,5/TANK=ok;cleaned the eye@20/wet tank;water/eye;0,75;pads=2,5;75,5;clean-eye;12,5;long story\n")
	f.Add("schema: 1\ncolumns: {job: [A, B], opened: B, closed: B, causes: D}\ndefaults: {family: oil-furnace}\nencoding: windows-1252\n", "A,B,D\nx,2024-10-02,tank-water|\n")
	base := smallBase(f)
	f.Fuzz(func(t *testing.T, mapping, text string) {
		m, err := ReadMapping("map.yaml", []byte(mapping), base)
		if err == nil {
			readAll(t, base, text, m)
		}
	})
}

// readAll reads a file; every good row must be written as cells that read back to
// the same cells, and the journal must take its events.
func readAll(t *testing.T, base *kb.Base, text string, m *Mapping) {
	reader, err := newRowReader("fuzz.csv", strings.NewReader(text), m)
	if err != nil {
		return
	}
	parser := rowParser{base: base, now: testNow}
	for {
		raw, err := reader.next()
		switch {
		case err == io.EOF || errors.Is(err, errLongRow):
			return
		case err != nil && !errors.As(err, new(RowProblem)):
			t.Fatal(err)
		case err != nil:
			continue
		}
		r, problems := parser.parse(raw)
		if len(problems) > 0 {
			continue
		}
		cells := r.cells()
		again, problems := parser.parse(&rawRow{cells: cells})
		if len(problems) > 0 {
			t.Fatalf("%q is refused when written as %q: %v", raw.cells, cells, problems)
		}
		if twice := again.cells(); twice != cells {
			t.Fatalf("%q is written as %q, and that as %q", raw.cells, cells, twice)
		}
		if why := valid(r.events()); why != nil {
			t.Fatalf("%q: %v", raw.cells, why.what)
		}
	}
}
