package shop

import (
	"errors"
	"io"
	"os"
	"strings"
	"testing"
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
	s, _ := openSmall(f, f.TempDir())
	f.Fuzz(func(t *testing.T, text string) {
		reader, err := newRowReader("fuzz.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		parser := rowParser{base: s.base, now: testNow}
		for {
			raw, err := reader.next()
			if err == io.EOF {
				return
			}
			if err != nil {
				if !errors.As(err, new(RowProblem)) {
					t.Fatal(err)
				}
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
			if err := valid(r.events()); err != nil {
				t.Fatalf("%q: %v", raw.cells, err)
			}
		}
	})
}
