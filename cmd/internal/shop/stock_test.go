package shop

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// stockShop is a shop at work on parts: it says what the books say.
type stockShop struct {
	*Shop
	t     testing.TB
	now   time.Time
	notes []string
}

// newStockShop opens a shop whose base has an old nozzle and one that was called
// otherwise. Its clock stands at testNow until it is moved.
func newStockShop(t testing.TB) *stockShop {
	t.Helper()
	base := filepath.Join(t.TempDir(), "base")
	text, err := os.ReadFile("testdata/base/small.yaml")
	if err != nil {
		t.Fatal(err)
	}
	more := strings.Replace(string(text), "parts:\n", "parts:\n  - {id: nozzle-old, name: Nozzle, superseded_by: nozzle-085, basis: {kind: estimate}}\n", 1)
	more = strings.Replace(more, "{id: absorbent,", "{id: absorbent, was: [pads], alternates: [nozzle-085],", 1)
	if err := os.Mkdir(base, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(base, "small.yaml"), []byte(more), 0o644); err != nil {
		t.Fatal(err)
	}
	w := &stockShop{t: t, now: testNow}
	w.Shop, err = Open(Config{Store: t.TempDir(), Base: base, By: "ann", Write: true, Now: func() time.Time { return w.now },
		Notice: func(text string) { w.notes = append(w.notes, text) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Shop.Close() })
	return w
}

// later moves the clock.
func (w *stockShop) later() { w.now = w.now.Add(time.Hour) }

func (w *stockShop) count(place string, pieces ...Pieces) {
	w.t.Helper()
	w.later()
	if _, err := w.Count(place, w.now, pieces); err != nil {
		w.t.Fatal(err)
	}
}

// openAndClose is a job from complaint to close.
func (w *stockShop) openAndClose(c kb.Closing) kb.Job {
	w.t.Helper()
	w.later()
	j, err := w.OpenJob(Complaint{Words: "locks out", Family: "oil-furnace"})
	if err != nil {
		w.t.Fatal(err)
	}
	w.later()
	c.Causes, c.Confidence = []string{"nozzle-plugged"}, 1
	if j, err = w.CloseJob(j, c); err != nil {
		w.t.Fatal(err)
	}
	return j
}

// says compares what the books say of the nozzle: pieces by place.
func (w *stockShop) says(when, want string) {
	w.t.Helper()
	books, err := w.Books()
	if err != nil {
		w.t.Fatal(err)
	}
	var got []string
	p := books.Part("nozzle-085")
	for _, at := range p.Places {
		got = append(got, fmt.Sprintf("%s %g", at.Place, at.OnHand))
	}
	if strings.Join(got, ", ") != want {
		w.t.Errorf("%s the books say %v, want %s", when, got, want)
	}
}

// TestJobsDraw: what a job used is drawn where its closing says when it is
// closed; corrections and what is booked besides put that right, and a callback
// brings nothing back.
func TestJobsDraw(t *testing.T) {
	w := newStockShop(t)
	used := func(n float64) map[string]float64 { return map[string]float64{"nozzle-085": n} }
	w.openAndClose(kb.Closing{Used: used(7)})
	w.says("before any count", "")
	w.count("shelf", Pieces{"nozzle-085", 20})
	w.count("truck-1", Pieces{"nozzle-085", 5})
	w.says("counted", "shelf 20, truck-1 5")
	j := w.openAndClose(kb.Closing{Used: used(2), From: "truck-1"})
	w.says("closed from truck-1", "shelf 20, truck-1 3")
	w.openAndClose(kb.Closing{Used: used(1)})
	w.says("closed without a place", "shelf 19, truck-1 3")

	w.later()
	c := *j.Closing
	c.From = ""
	j, err := w.CorrectClosing(j, c)
	if err != nil {
		t.Fatal(err)
	}
	w.says("corrected to the shelf", "shelf 17, truck-1 5")
	c = *j.Closing
	c.Used, c.From = used(4), "truck-1"
	if j, err = w.CorrectClosing(j, c); err != nil {
		t.Fatal(err)
	}
	w.says("corrected to more", "shelf 19, truck-1 1")

	if _, err := w.UsePartsOn(j.ID, "shelf", []Pieces{{"nozzle-085", 1}}); err != nil {
		t.Fatal(err)
	}
	w.says("one more booked on it", "shelf 18, truck-1 1")
	if j, err = w.Job(j.ID); err != nil || j.Closing.Used["nozzle-085"] != 5 {
		t.Errorf("the job used %v, %v; want 5", j.Closing.Used, err)
	}
	c = *j.Closing
	c.Used = used(3) // of these one is booked
	if j, err = w.CorrectClosing(j, c); err != nil {
		t.Fatal(err)
	}
	w.says("corrected with one booked", "shelf 18, truck-1 3")

	w.later()
	if j, err = w.Reopen(j, "out again"); err != nil {
		t.Fatal(err)
	}
	w.says("opened again", "shelf 18, truck-1 3")
	w.later()
	if j, err = w.CloseJob(j, kb.Closing{Causes: []string{"tank-water"}, Confidence: 1, Used: used(1), From: "truck-1"}); err != nil {
		t.Fatal(err)
	}
	w.says("closed anew", "shelf 18, truck-1 2")
	lines, err := w.Taken(&j)
	if err != nil || len(lines) != 1 || lines[0].Place != "truck-1" || *lines[0].OnHand != 2 {
		t.Errorf("taken %+v, %v", lines, err)
	}

	// A closing that is taken back never was.
	events, err := w.journal.Events(j.ID)
	if err != nil {
		t.Fatal(err)
	}
	back := w.journal.NewEvent(journal.KindFindingWithdrawn, j.ID, "ann")
	back.Of = events[len(events)-1].ID
	if _, err := w.journal.Append(back); err != nil {
		t.Fatal(err)
	}
	w.says("its closing withdrawn", "shelf 18, truck-1 3")

	visits, err := w.Visits()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, v := range visits {
		got = append(got, fmt.Sprintf("job %s %g %s", v.Job, v.Pieces, v.Family))
	}
	if d := cmp.Diff([]string{"job 1 7 oil-furnace", "job 2 3 oil-furnace", "job 3 1 oil-furnace"}, got); d != "" {
		t.Errorf("visits (-want +got):\n%s", d)
	}
	calls, err := w.Calls()
	if err != nil || len(calls) != 3 {
		t.Errorf("calls %+v, %v; want 3", calls, err)
	}
}

// TestImportDraws: jobs of years past draw nothing from a shelf that was counted
// since; those closed after the count do.
func TestImportDraws(t *testing.T) {
	w := newStockShop(t)
	w.count("shelf", Pieces{"nozzle-085", 20})
	day := func(days int) string { return w.now.AddDate(0, 0, days).Format(time.DateOnly) }
	rows := "1,%[1]s,%[1]s,oil-furnace,,,,,,,nozzle-plugged,1,nozzle-085=3,,\n2,%[2]s,%[2]s,oil-furnace,,,,,,,nozzle-plugged,1,nozzle-old=2,,\n"
	w.now = w.now.AddDate(0, 0, 9)
	did, problems := importText(t, w.Shop, strings.Join(columnNames[:numContract], ",")+"\n"+fmt.Sprintf(rows, "2019-02-03", day(-2)))
	if did.Imported != 2 {
		t.Fatal(problems)
	}
	w.says("after the import", "shelf 18")
}

// TestImportFrom: parts come from the place that a row names; one that was never
// counted is told, and one that cannot be is a bad row. A row without parts came
// from nowhere.
func TestImportFrom(t *testing.T) {
	w := newStockShop(t)
	w.count("truck-1", Pieces{"nozzle-085", 5})
	w.later()
	at := w.now.UTC().Format(time.RFC3339)
	w.later()
	row := func(job, parts, from string) string {
		return job + "," + at + "," + at + ",oil-furnace,,,,,,,nozzle-plugged,1," + parts + ",,,,,," + from + "\n"
	}
	text := wholeHeader + row("1", "nozzle-085=2", "truck-1") + row("2", "nozzle-085=1", "truk-1") + row("3", "none", "truck-1") + row("4", "nozzle-085=1", "shelf")
	did, problems := importText(t, w.Shop, text+row("5", "nozzle-085=1", "Truck 1"))
	if did.Imported != 4 || len(problems) != 1 || !strings.HasPrefix(problems[0], `jobs.csv:6:from: "Truck 1" is not how a place is written; `) {
		t.Errorf("%+v %q", did, problems)
	}
	if want := `jobs.csv: nothing was ever counted at "truk-1", so that nothing is drawn there; is "truck-1" meant?`; !slices.Contains(w.notes, want) {
		t.Errorf("notes %q", w.notes)
	}
	w.says("after the import", "truck-1 3")
	if did, problems := importText(t, w.Shop, text); did.Already != 4 || len(problems) > 0 {
		t.Errorf("a second time: %+v %q", did, problems)
	}
	_, problems = importText(t, w.Shop, wholeHeader+row("1", "nozzle-085=2", ""))
	if len(problems) != 1 || !strings.Contains(problems[0], `from (there "truck-1", here "")`) {
		t.Errorf("said otherwise: %q", problems)
	}
}

// TestOldNumbers: former and superseded numbers share the books of the part of
// today, whichever of them is written.
func TestOldNumbers(t *testing.T) {
	w := newStockShop(t)
	pieces, err := ParseParts(w.base, []string{"nozzle-old=4", "nozzle-085=1", "pads"}, SomePieces, w.cfg.Notice)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]Pieces{{"nozzle-085", 5}, {"absorbent", 1}}, pieces); d != "" {
		t.Errorf("pieces (-want +got):\n%s", d)
	}
	if d := cmp.Diff([]string{"nozzle-old was superseded; this is nozzle-085, which takes its place", "pads is called absorbent now"}, w.notes); d != "" {
		t.Errorf("notes (-want +got):\n%s", d)
	}
	// What was recorded under the old number is the new one's.
	w.count("shelf", Pieces{"nozzle-old", 4})
	w.openAndClose(kb.Closing{Used: map[string]float64{"nozzle-old": 1}})
	w.says("under the old number", "shelf 3")
	w.count("shelf", Pieces{"nozzle-085", 3})
	books, _ := w.Books()
	p := books.Part("nozzle-085")
	if c := p.Places[0].LastCount(); c.Difference() != 0 || len(p.Places[0].Counts) != 2 {
		t.Errorf("counted under both numbers: %+v", p.Places[0])
	}
}

func TestParseParts(t *testing.T) {
	w := newStockShop(t)
	for _, c := range []struct {
		words string
		rule  PiecesRule
		want  string
	}{
		{"nozzle-085=4 absorbent=0", FoundPieces, "[{nozzle-085 4} {absorbent 0}]"},
		{"nozzle-085= 2.5", FoundPieces, "[{nozzle-085 2.5}]"},
		{"nozzle-085 nozzle-085=2", SomePieces, "[{nozzle-085 3}]"},
		{"nozzle-085=-2", PiecesOrMinus, "[{nozzle-085 -2}]"},
		{"nozzle-085", FoundPieces, "how many of nozzle-085 are there? write nozzle-085=4, or nozzle-085=0 for none"},
		{"nozzle-085=-1", FoundPieces, "-1 pieces of nozzle-085 cannot be there; count them again, and write 0 for none"},
		{"nozzle-085=1 nozzle-085=2", FoundPieces, "nozzle-085 is counted twice; write all pieces that are there in one number"},
		{"nozzle-085=0", SomePieces, "0 pieces of nozzle-085 cannot be; write a number above 0"},
		{"nozzle-085=-1", SomePieces, "-1 pieces of nozzle-085 cannot be; write a number above 0"},
		{"nozzle-085=0", PiecesOrMinus, "0 pieces of nozzle-085 are nothing to record; write how many"},
		{"nozzle-085=", SomePieces, `"" is not a number of pieces of nozzle-085; write a number such as 4`},
		{"nozzle-085=many", SomePieces, `"many" is not a number of pieces of nozzle-085; write a number such as 4`},
		{"nozzle-085=NaN", FoundPieces, `"NaN" is not a number of pieces of nozzle-085; write a number such as 4`},
		{"nozzle-085=1e99", FoundPieces, `"1e99" is not a number of pieces of nozzle-085; write a number such as 4`},
		{"nozle-085=1", SomePieces, `no part "nozle-085"; did you mean "nozzle-085"?`},
	} {
		words := strings.Split(strings.ReplaceAll(c.words, "= ", "=\t"), " ")
		list, err := ParseParts(w.base, words, c.rule, w.cfg.Notice)
		got := fmt.Sprint(list)
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.words, got, c.want)
		}
	}
}

func TestPlace(t *testing.T) {
	w := newStockShop(t)
	w.count("truck-1", Pieces{"nozzle-085", 1})
	if _, err := w.Move("truck-1", "bay-2", w.now, []Pieces{{"nozzle-085", 1}}); err != nil {
		t.Fatal(err)
	}
	w.openAndClose(kb.Closing{Used: map[string]float64{"absorbent": 1}, From: "truck-9"}) // makes no place
	for _, c := range []struct {
		name  string
		fresh bool
		want  string
	}{
		{"", false, "shelf"}, {"shelf", false, "shelf"}, {"truck-1", false, "truck-1"}, {"bay-2", false, "bay-2"}, {"truck-3", true, "truck-3"},
		{"truk-1", false, `no place "truk-1"; did you mean "truck-1"?`},
		{"truck-9", false, `no place "truck-9"; did you mean "truck-1"?`},
		{"garage", false, `no place "garage"; there are: shelf, bay-2, truck-1`},
		{"Truck 1", true, `"Truck 1" is not how a place is written; use lower-case words and digits joined by -, such as truck-1`},
	} {
		got, err := w.Place(c.name, c.fresh)
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestWhen(t *testing.T) {
	now := time.Date(2026, 1, 15, 9, 30, 0, 500, time.UTC)
	for text, want := range map[string]string{
		"": "2026-01-15T09:30:00Z", "2026-01-14": "2026-01-14T12:00:00Z", "2026-01-15": "2026-01-15T09:30:00Z",
		"2026-01-15T04:00:00-05:00": "2026-01-15T09:00:00Z",
		"2026-01-16":                "2026-01-16 is still to come; write when it was done",
		"2026-01-15T09:31:00Z":      "2026-01-15T09:31:00Z is still to come; write when it was done",
		"yesterday":                 `"yesterday" is no time; write a day as 2006-01-02, or a time as 2006-01-02T15:04:05Z`,
	} {
		at, err := When(now, text)
		got := at.Format(time.RFC3339)
		if err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}

// TestStockLines: what is told of each part after an act.
func TestStockLines(t *testing.T) {
	w := newStockShop(t)
	nozzles := func(n float64) []Pieces { return []Pieces{{"nozzle-085", n}} }
	brief := func(lines []StockLine, err error) string {
		w.later()
		if err != nil {
			return err.Error()
		}
		l := lines[0]
		text := fmt.Sprintf("%g", l.Qty)
		for _, x := range []struct {
			name string
			n    *float64
		}{{"at", l.OnHand}, {"to", l.OnHandTo}, {"said", l.Said}, {"off", l.Off}} {
			if x.n != nil {
				text += fmt.Sprintf(" %s %g", x.name, *x.n)
			}
		}
		return text + fmt.Sprintf(" due %g over %g", l.OnOrder, l.Unordered)
	}
	early := w.now
	for _, c := range []struct{ got, want string }{
		{brief(w.UseParts("shelf", w.now, nozzles(2))), "2 due 0 over 0"},
		{brief(w.Count("shelf", w.now, nozzles(6))), "6 at 6 due 0 over 0"},
		{brief(w.PutOnOrder(w.now, nozzles(10))), "10 due 10 over 0"},
		{brief(w.PutOnOrder(w.now, nozzles(-3))), "-3 due 7 over 0"},
		{brief(w.PutOnOrder(w.now, nozzles(-8))), "8 pieces of nozzle-085 cannot be cancelled: 7 are on order"},
		{brief(w.Receive("shelf", w.now, nozzles(4))), "4 at 10 due 3 over 0"},
		{brief(w.Receive("shelf", w.now, nozzles(5))), "5 at 15 due 0 over 2"},
		{brief(w.Move("shelf", "truck-1", w.now, nozzles(3))), "3 at 12 to 3 due 0 over 0"},
		{brief(w.Move("shelf", "shelf", w.now, nozzles(3))), "shelf is where the pieces are already; name two places"},
		{brief(w.Count("shelf", w.now, nozzles(11))), "11 at 11 said 12 off -1 due 0 over 0"},
		{brief(w.UseParts("truck-1", w.now, nozzles(4))), "4 at -1 due 0 over 0"},
		{brief(w.Count("shelf", early.Add(90*time.Minute), nozzles(5))), "5 at 11 said 6 off -1 due 0 over 0"}, // entered late
		{brief(w.UsePartsOn("77", "shelf", nozzles(1))), "no job 77; see: sootsayer job list"},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
}

// TestStockExport: what is written is read back as a count that agrees.
func TestStockExport(t *testing.T) {
	w := newStockShop(t)
	w.count("shelf", Pieces{"nozzle-085", 4}, Pieces{"absorbent", 0.5})
	w.count("truck-1", Pieces{"nozzle-085", 1})
	if _, err := w.PutOnOrder(w.now, []Pieces{{"nozzle-085", 3}}); err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	rows, err := w.ExportStock(&out, "")
	today := w.now.Local().Format(time.DateOnly)
	want := "place,part,qty,counted,on_order,name\nshelf,nozzle-085,4," + today + ",3,Nozzle\ntruck-1,nozzle-085,1," + today + ",,Nozzle\nshelf,absorbent,0.5," + today + ",,Water absorbent\n"
	if err != nil || rows != 3 || out.String() != want {
		t.Fatalf("%d rows, %v:\n%s\nwant\n%s", rows, err, out.String(), want)
	}
	w.later()
	did, err := w.CountFile(t.Context(), "all.csv", strings.NewReader(want), false, func(p RowProblem) { t.Error(p) })
	if err != nil || did.Counted != 3 || slices.ContainsFunc(did.Lines, func(l StockLine) bool { return l.Off == nil || *l.Off != 0 }) {
		t.Errorf("%+v, %v", did, err)
	}
	if len(w.notes) > 0 {
		t.Error(w.notes)
	}
	out.Reset()
	if rows, err := w.ExportStock(&out, "truck-1"); err != nil || rows != 1 {
		t.Errorf("%d rows at truck-1, %v", rows, err)
	}
}
