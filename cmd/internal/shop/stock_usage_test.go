package shop

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// readUsage reads a file of uses and returns what became of it and its problems.
func (w *stockShop) readUsage(text string, repeats bool) (UsageRead, []string) {
	w.t.Helper()
	var problems []string
	did, err := w.UsageFile(w.t.Context(), "u.csv", strings.NewReader(text), repeats, func(p RowProblem) { problems = append(problems, p.Error()) })
	if err != nil {
		w.t.Fatal(err)
	}
	return did, problems
}

// TestUsageFile: each row of a file of bad input is told with its line and why,
// and the good ones are recorded.
func TestUsageFile(t *testing.T) {
	w := newStockShop(t) // testNow is a day of January 2026
	tomorrow := testNow.AddDate(0, 0, 1).Format(time.DateOnly)
	did, problems := w.readUsage("\ufeffqty, Part ,date,remark\n"+
		"2,nozzle-085,2024-01-15,ok\n"+
		"2,nozzle-085,2024-01-15,equal\n"+
		",nozzle-085,2024-01-16,\n"+
		"-1,nozzle-085,2024-01-16,\n"+
		"1,nozle-085,2024-01-16,\n"+
		"1,nozzle-085,"+tomorrow+",\n"+
		"1,nozzle-085,01/16/2024,\n"+
		"1,nozzle-085,,\n"+
		"1,nozzle-085,1066-10-14,\n"+
		"1,nozzle-085\n"+
		"1,\"nozzle-085\x07\",2024-01-16,\n"+
		",,,\n"+
		"1,nozzle-old,2024-01-20T08:00:00Z,\n"+
		"1,pads,2024-03-16,\n"+
		"0,absorbent,2024-05-31,none\n"+
		"1.5,absorbent,"+testNow.Format(time.DateOnly)+",\n", false)
	want := []string{
		"u.csv:3:row: it is the same as line 2; take it out, or when both were used read the file with --repeats",
		"u.csv:4:qty: there is no number of pieces of nozzle-085; write how many were used",
		"u.csv:5:qty: -1 pieces of nozzle-085 cannot be used; what was brought back is recorded with: sootsayer stock usage nozzle-085=-1",
		`u.csv:6:part: no part "nozle-085"; did you mean "nozzle-085"?`,
		"u.csv:7:date: " + tomorrow + " is still to come, and nothing can have been used; today is " + testNow.Format(time.DateOnly),
		`u.csv:8:date: "01/16/2024" is not a date; write the day as 2024-11-03`,
		"u.csv:9:date: there is no date; write the day it was used, such as 2024-11-03",
		"u.csv:10:date: the year of 1066-10-14 cannot be; write a date from 1970 on",
		"u.csv:11:row: it has 2 cells and the first line 4; put a cell that holds a comma in quotes",
		"u.csv:12:part: it holds something that is no plain text; save the file as CSV in UTF-8",
	}
	if d := cmp.Diff(want, problems); d != "" {
		t.Errorf("problems (-want +got):\n%s", d)
	}
	last := stock.MonthOf(testNow)
	if did.Rows != 15 || did.Recorded != 5 || did.Bad != 10 || did.Already != 0 || did.Parts != 2 || did.Past != 4 || did.First != "2024-01" || did.Last != last.String() {
		t.Errorf("%+v", did)
	}
	wantMissing := []string{"2024-02", "2024-04"}
	june, _ := stock.ParseMonth("2024-06")
	for m := june; m < last; m++ {
		wantMissing = append(wantMissing, m.String())
	}
	if d := cmp.Diff(wantMissing, did.Missing); d != "" {
		t.Errorf("missing months (-want +got):\n%s", d)
	}
	if d := cmp.Diff([]string{"nozzle-old was superseded; this is nozzle-085, which takes its place", "pads is called absorbent now", "u.csv: nobody reads the columns remark"}, w.notes); d != "" {
		t.Errorf("notes (-want +got):\n%s", d)
	}
	visits, err := w.Visits()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, v := range visits {
		got = append(got, fmt.Sprintf("%s %s %g", v.At.Format(time.DateOnly), v.Part, v.Pieces))
	}
	if d := cmp.Diff([]string{"2024-01-15 nozzle-085 2", "2024-01-20 nozzle-085 1", "2024-03-16 absorbent 1", testNow.Format(time.DateOnly) + " absorbent 1.5"}, got); d != "" {
		t.Errorf("uses (-want +got):\n%s", d)
	}
}

// TestUsageTwice: however often a file is read, in whatever order and by whom, in
// pieces or whole, each of its rows is recorded once; equal rows are uses of their
// own where that is said.
func TestUsageTwice(t *testing.T) {
	w := newStockShop(t)
	const head, a, b, c = "date,part,qty\n", "2024-01-15,nozzle-085,2\n", "2024-02-15,absorbent,1\n", "2024-02-15,absorbent,3\n"
	for _, x := range []struct {
		text                     string
		repeats                  bool
		recorded, already, added int
	}{
		{head + a + b, false, 2, 0, 0}, {head + b + a, false, 0, 2, 0}, {head + a + b, true, 0, 2, 0},
		{head + a + a + a, true, 2, 1, 2}, {head + a + a, true, 0, 2, 0}, {head + a + a + a + a, true, 1, 3, 1},
		{head + b + c, false, 1, 1, 1}, {"part,date,qty,place\nabsorbent,2024-02-15,1.0,\n", false, 0, 1, 0},
		{"part,date,qty,place\nabsorbent,2024-02-15,1,truck-1\n", false, 1, 0, 1},
		// Cells in quotes, line ends of two letters, no line end after the last row:
		// RFC 4180, section 2, rules 1, 2 and 5.
		{"\"date\",part,\"qty\"\r\n\"2024-02-15\",\"absorbent\",\"3\"", false, 0, 1, 0},
	} {
		did, problems := w.readUsage(x.text, x.repeats)
		if did.Recorded != x.recorded || did.Already != x.already || did.Added != x.added || len(problems) > 0 {
			t.Errorf("%q: %+v %v", x.text, did, problems)
		}
	}
	other := newStockShop(t)
	other.cfg.By = "bob"
	other.readUsage(head+a, false)
	for e, err := range other.journal.EventsSince(0) {
		if err != nil {
			t.Fatal(err)
		}
		if n, err := w.journal.Append(e.Event); n != 0 || err != nil {
			t.Errorf("the row of another machine: %d new, %v", n, err)
		}
	}
}

// TestUsageDraws: uses before the first count are history, later ones are drawn;
// a place of which no books are is told.
func TestUsageDraws(t *testing.T) {
	w := newStockShop(t)
	w.now = testNow.AddDate(0, 0, -10)
	w.count("truck-1", Pieces{"nozzle-085", 9})
	w.count("shelf", Pieces{"nozzle-085", 20})
	w.now = testNow
	day := func(n int) string { return testNow.AddDate(0, 0, n).Format(time.DateOnly) }
	did, problems := w.readUsage("date,part,qty,place\n"+day(-40)+",nozzle-085,5,\n"+day(-3)+",nozzle-085,2,\n"+day(-2)+",nozzle-085,1,truck-1\n"+day(-2)+",nozzle-085,1,truk-1\n", false)
	if did.Recorded != 4 || did.Past != 2 || len(problems) > 0 {
		t.Errorf("%+v %v", did, problems)
	}
	w.says("after the file", "shelf 18, truck-1 8")
	if d := cmp.Diff([]string{`u.csv: nothing was ever counted at "truk-1", so that nothing is drawn there; is "truck-1" meant?`}, w.notes); d != "" {
		t.Errorf("notes (-want +got):\n%s", d)
	}
	if _, problems = w.readUsage("date,part,qty,place\n"+day(-2)+",nozzle-085,1,Truck 1\n", false); len(problems) != 1 || !strings.Contains(problems[0], "such as truck-1") {
		t.Error(problems)
	}
}

// TestUnknownMonths: of a month without a row nothing is known, unless a row says
// that nothing was used, or a job was closed in it.
func TestUnknownMonths(t *testing.T) {
	w := newStockShop(t)
	unknown := func() string {
		months, err := w.UnknownMonths()
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprint(months)
	}
	w.readUsage("date,part,qty\n2024-01-15,nozzle-085,2\n2024-06-15,nozzle-085,2\n2024-03-15,absorbent,0\n", false)
	if got := unknown(); got != "[2024-02 2024-04 2024-05]" {
		t.Error(got)
	}
	importText(t, w.Shop, strings.Join(columnNames[:numContract], ",")+"\n1,2024-02-03,2024-02-03,oil-furnace,,,,,,,nozzle-plugged,1,,,\n")
	w.openAndClose(kb.Closing{})
	if got := unknown(); got != "[2024-04 2024-05]" {
		t.Error(got)
	}
	did, _ := w.readUsage("date,part,qty\n2024-08-15,nozzle-085,2\n", false)
	if got := unknown(); got != "[2024-04 2024-05 2024-07]" || !strings.Contains(fmt.Sprint(did.Missing), "2024-07") {
		t.Error(got, did.Missing)
	}
}

func TestUsageFileRefused(t *testing.T) {
	w := newStockShop(t)
	for text, want := range map[string]string{
		"":                              "u.csv is empty; its first line is date,part,qty",
		"date;part;qty\n":               "u.csv: its columns are not parted by commas; save it as CSV with commas",
		"date,part\n":                   "u.csv: the first line lacks qty; it has to name the columns date,part,qty",
		"dat,part,qty\n":                `u.csv: the first line lacks date; it has to name the columns date,part,qty; is "dat" meant to be date?`,
		"date,part,qty,Qty\n":           "u.csv: the column qty is there twice; keep one",
		"\xff\xfed\x00":                 "u.csv is UTF-16 text; save it as CSV in UTF-8",
		"date,part,qty\n\"2024-01-01\n": "",
	} {
		_, err := w.UsageFile(t.Context(), "u.csv", strings.NewReader(text), false, func(RowProblem) {})
		if got := fmt.Sprint(err); got != want && (want != "" || err != nil) {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := w.UsageFile(ctx, "u.csv", strings.NewReader("date,part,qty\n2024-01-15,nozzle-085,2\n"), false, func(RowProblem) {}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if visits, _ := w.Visits(); len(visits) > 0 {
		t.Errorf("recorded %v", visits)
	}
}

// readCounts reads a file of counts.
func (w *stockShop) readCounts(text string, fresh bool) (CountsRead, []string) {
	w.t.Helper()
	w.later()
	var problems []string
	did, err := w.CountFile(w.t.Context(), "c.csv", strings.NewReader(text), fresh, func(p RowProblem) { problems = append(problems, p.Error()) })
	if err != nil {
		w.t.Fatal(err)
	}
	return did, problems
}

func TestCountFile(t *testing.T) {
	w := newStockShop(t)
	w.now = testNow.AddDate(0, 0, -10)
	w.count("shelf", Pieces{"nozzle-085", 6})
	w.now = testNow
	day := testNow.AddDate(0, 0, -2).Format(time.DateOnly)
	text := "place,part,qty,date\nshelf,nozzle-085,4," + day + "\nshelf,absorbent,3,\ntruk-1,absorbent,3,\nshelf,nozle-085,3,\nshelf,nozzle-085,-2,\n" +
		"shelf,nozzle-085,,\n,nozzle-old,9," + day + "\nshelf,nozzle-085,4,tomorrow\n"
	did, problems := w.readCounts(text, false)
	want := []string{`c.csv:4:place: no place "truk-1"; there are: shelf`, `c.csv:5:part: no part "nozle-085"; did you mean "nozzle-085"?`,
		"c.csv:6:qty: -2 pieces of nozzle-085 cannot be there; count them again, and write 0 for none",
		"c.csv:8:row: nozzle-085 at shelf is counted in line 2 already; write all pieces that are there in one row",
		`c.csv:9:date: "tomorrow" is no time; write a day as 2006-01-02, or a time as 2006-01-02T15:04:05Z`}
	if d := cmp.Diff(want, problems); d != "" {
		t.Errorf("problems (-want +got):\n%s", d)
	}
	if did.Rows != 8 || did.Counted != 2 || did.Left != 1 || did.Bad != 5 || len(did.Lines) != 2 || *did.Lines[0].Off != -2 || did.Lines[1].Off != nil {
		t.Errorf("%+v", did)
	}
	w.says("after the file", "shelf 4")
	if did, _ = w.readCounts(text, false); did.Counted != 1 || did.Already != 1 {
		t.Errorf("a second time: %+v", did)
	}
	if did, problems = w.readCounts("part,qty,place\nabsorbent,3,truck-1\nabsorbent,4,truck-2\n", true); did.Counted != 2 || len(problems) > 0 {
		t.Errorf("new places: %+v %v", did, problems)
	}
}

// TestMissingMonths compares with looking for each month.
func TestMissingMonths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		set := make(map[stock.Month]bool)
		low, high := stock.Month(99), stock.Month(0)
		for _, m := range rapid.SliceOfN(rapid.IntRange(0, 40), 0, 12).Draw(t, "months") {
			set[stock.Month(m)] = true
			low, high = min(low, stock.Month(m)), max(high, stock.Month(m))
		}
		var want []stock.Month
		for m := low; m <= high; m++ {
			if !set[m] {
				want = append(want, m)
			}
		}
		if d := cmp.Diff(want, missingMonths(set)); d != "" {
			t.Fatal(d)
		}
	})
}

// FuzzUsageFile and FuzzCountFile read anything as a file: nothing crashes, every
// row is told of or recorded, and reading it again records nothing new.
func FuzzUsageFile(f *testing.F) {
	f.Add("date,part,qty\n2024-01-15,nozzle-085,2\n2024-01-15,nozzle-085,2\n", true)
	f.Add("qty,part,date,place\n0,pads,2024-01-15T10:00:00Z,truck-1\n-1,x,y,Z\n\"", false)
	w := newStockShop(f)
	f.Fuzz(func(t *testing.T, text string, repeats bool) {
		var bad int
		read := func() (UsageRead, error) {
			bad = 0
			return w.UsageFile(t.Context(), "u.csv", strings.NewReader(text), repeats, func(RowProblem) { bad++ })
		}
		did, err := read()
		if err != nil {
			return
		}
		if did.Bad != bad || did.Rows != did.Bad+did.Recorded+did.Already {
			t.Fatalf("%+v, %d problems", did, bad)
		}
		again, err := read()
		if err != nil || again.Recorded != 0 || again.Already != did.Recorded+did.Already {
			t.Fatalf("first %+v, then %+v, %v", did, again, err)
		}
	})
}

func FuzzCountFile(f *testing.F) {
	f.Add("place,part,qty\nshelf,nozzle-085,2\nshelf,nozzle-085,\n", true)
	f.Add("place,part,qty,date\n,pads,0.5,2024-01-15\ntruck-1,x,-1,Z\n", false)
	w := newStockShop(f)
	f.Fuzz(func(t *testing.T, text string, fresh bool) {
		bad := 0
		did, err := w.CountFile(t.Context(), "c.csv", strings.NewReader(text), fresh, func(RowProblem) { bad++ })
		if err == nil && (did.Bad != bad || did.Rows != did.Bad+did.Counted+did.Already+did.Left || len(did.Lines) != did.Counted) {
			t.Fatalf("%+v, %d problems", did, bad)
		}
	})
}
