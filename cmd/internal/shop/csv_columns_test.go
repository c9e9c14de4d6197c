package shop

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// wholeHeader is the header with the columns that a file may leave out.
const wholeHeader = "job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,causes,confidence,parts,minutes,callback_of,fixes,fix_minutes,note,from\n"

// TestEverythingOfARow: all that a row may hold becomes the job that it
// describes, and is written as it came.
func TestEverythingOfARow(t *testing.T) {
	const row = "1,2024-10-02,2024-10-02,oil-furnace,m1,site-1,no heat,locks-out;smoke=no@1,nozzle-look=plugged@4;eye-resistance=2400@2.5," +
		"replace-nozzle@15;tank-bottom=water@3,tank-water|eye-sooted,0.7,none,55,,clean-eye,20,\"one of them,\nnobody knows which\",\n"
	s, notices := openSmall(t, t.TempDir())
	if did, said := importText(t, s, wholeHeader+row); did.Imported != 1 || len(*notices) > 0 {
		t.Fatalf("%+v %q %q", did, said, *notices)
	}
	j, err := s.Job("1")
	if err != nil {
		t.Fatal(err)
	}
	var acts []kb.Act
	for _, a := range j.Acts {
		acts = append(acts, kb.Act{Finding: a.Finding, Tried: a.Tried, Minutes: a.Minutes})
	}
	want := []kb.Act{
		{Finding: &kb.Finding{Kind: kb.KindSymptom, ID: "locks-out", Outcome: kb.Yes}},
		{Finding: &kb.Finding{Kind: kb.KindSymptom, ID: "smoke", Outcome: kb.No, Minutes: 1}},
		{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "nozzle-look", Outcome: "plugged", Minutes: 4}},
		{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "eye-resistance", Reading: new(2400.0), Minutes: 2.5}},
		{Tried: "replace-nozzle", Minutes: 15},
		{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "tank-bottom", Outcome: "water", Minutes: 3}},
	}
	if diff := cmp.Diff(want, acts); diff != "" {
		t.Errorf("acts (-want +got):\n%s", diff)
	}
	closing := kb.Closing{At: j.Closing.At, By: importer, Causes: []string{"tank-water", "eye-sooted"}, OneOf: true, Fixes: []string{"clean-eye"},
		Confidence: 0.7, Minutes: 55, FixMinutes: 20, Used: map[string]float64{}, Note: "one of them,\nnobody knows which"}
	if diff := cmp.Diff(&closing, j.Closing); diff != "" {
		t.Errorf("closing (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(wholeHeader+row, exportAll(t, s)); diff != "" {
		t.Errorf("export (-want +got):\n%s", diff)
	}
}

// TestPartsNoneOrNotStated: none used is something else than not stated.
func TestPartsNoneOrNotStated(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	_, said := importText(t, s, header+
		"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,1,none,,\n"+
		"2,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,1,,,\n"+
		"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,1,,,\n")
	if want := `jobs.csv:4:job: job 1 is there already and says something else: parts (there "none", here ""); `; len(said) != 1 || !strings.HasPrefix(said[0], want) {
		t.Errorf("said %q, want %q...", said, want)
	}
	none, _ := s.Job("1")
	unstated, _ := s.Job("2")
	if none.Closing.Used == nil || len(none.Closing.Used) > 0 || unstated.Closing.Used != nil {
		t.Errorf("used %v and %v; want none and not stated", none.Closing.Used, unstated.Closing.Used)
	}
}

// TestColumnsLeftOut: a file that lacks the columns that may be left out agrees
// with jobs that have something in them; one that has them must agree.
func TestColumnsLeftOut(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	importText(t, s, wholeHeader+"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,1,,,,clean-eye,20,look again in May,\n")
	short := exportText(t, s)
	if strings.Contains(short, "May") || strings.Contains(short, "note") {
		t.Errorf("exported %q", short)
	}
	if did, said := importText(t, s, short); did.Already != 1 {
		t.Errorf("%+v %q; want it to be there", did, said)
	}
	did, said := importText(t, s, wholeHeader+"1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,1,,,,clean-eye,20,,\n")
	if did.Bad != 1 || !strings.Contains(said[0], `note (there "look again in May", here "")`) {
		t.Errorf("%+v %q; want the note to differ", did, said)
	}
}

// TestBadEntries: what may be wrong with minutes, candidates and the columns that
// may be left out.
func TestBadEntries(t *testing.T) {
	for _, test := range []struct{ name, cells, want string }{
		{"minutes of nothing", ",tank-bottom=ok@,,tank-water,,,,,,,", `jobs.csv:2:findings: "tank-bottom=ok@": "" are not the minutes of tank-bottom=ok; write tank-bottom=ok@5, or leave them out`},
		{"no minutes", "smoke@0,,,tank-water,,,,,,,", `jobs.csv:2:symptoms: "smoke@0": "0" are not the minutes of smoke`},
		{"minutes below 0", ",,clean-eye@-4,tank-water,,,,,,,", `jobs.csv:2:tried: "clean-eye@-4": "-4" are not the minutes of clean-eye`},
		{"minutes in words", ",,clean-eye@ten,tank-water,,,,,,,", `jobs.csv:2:tried: "clean-eye@ten": "ten" are not the minutes`},
		{"minutes without end", ",,clean-eye@Inf,tank-water,,,,,,,", `jobs.csv:2:tried: "clean-eye@Inf": "Inf" are not the minutes`},
		{"one candidate", ",,,tank-water|,,,,,,,", `jobs.csv:2:causes: "tank-water|" names one cause only; name all that it may have been, as in a|b, or take the "|" out`},
		{"candidates and causes", ",,,tank-water|eye-sooted;nozzle-plugged,,,,,,,", `jobs.csv:2:causes: "tank-water|eye-sooted;nozzle-plugged" holds both ";" and "|"`},
		{"candidate twice", ",,,tank-water|tank-water,,,,,,,", `jobs.csv:2:causes: tank-water is named twice`},
		{"unknown candidate", ",,,tank-water|tank-wter,,,,,,,", `jobs.csv:2:causes: no cause of oil-furnace "tank-wter"; did you mean "tank-water"?`},
		{"none and some", ",,,tank-water,,none;absorbent=1,,,,,", `jobs.csv:2:parts: no part "none"`},
		{"more pieces than can be", ",,,tank-water,,absorbent=1e6;absorbent=1,,,,,", `jobs.csv:2:parts: absorbent are 1.000001e+06 pieces in all, which cannot be`},
		{"fix at the end", ",,,tank-water,,,,,clean-ey,,", `jobs.csv:2:fixes: no fix "clean-ey"; did you mean "clean-eye"?`},
		{"fix minutes", ",,,tank-water,,,,,,-1,", `jobs.csv:2:fix_minutes: "-1" cannot be; write the minutes that the fixes took`},
		{"note that cannot be printed", ",,,tank-water,,,,,,,a\x1bb", `jobs.csv:2:note: "a\x1bb" holds a character that cannot be printed`},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, _ := openSmall(t, t.TempDir())
			did, said := importText(t, s, wholeHeader+"1,2024-10-02,2024-10-02,oil-furnace,,,,"+test.cells+",\n")
			if did.Bad != 1 || len(said) != 1 || !strings.HasPrefix(said[0], test.want) {
				t.Errorf("%+v\nsaid %q\nwant %q...", did, said, test.want)
			}
		})
	}
}

// TestRowWithoutEnd: a quote that is never closed does not fill the memory.
func TestRowWithoutEnd(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	text := header + "1,2024-10-02,2024-10-02,oil-furnace,,,,,,,tank-water,,,,\n2,\"" + strings.Repeat("never closed\n", maxRow/4)
	did, err := s.ImportJobs(t.Context(), strings.NewReader(text), ImportOptions{File: "jobs.csv"})
	if want := "jobs.csv: a row after line 2 is longer than 4 MB; a quote in it may never be closed"; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("error %v, want %q...", err, want)
	}
	if _, there := s.Job("1"); did.Imported != 1 || there != nil {
		t.Errorf("%+v, job 1: %v; want the row before it", did, there)
	}
}

// TestTwiceInOneBatch: rows of one job that follow each other are held against
// each other before they are written, and go in together.
func TestTwiceInOneBatch(t *testing.T) {
	s, _ := openSmall(t, t.TempDir())
	did, said := importText(t, s, header+
		"1,2024-10-02T08:00:00Z,2024-10-02T09:00:00Z,oil-furnace,,,,smoke,,,tank-water,,,,\n"+
		"1,2024-10-02T08:00:00Z,2024-10-02T09:00:00Z,oil-furnace,,,,smoke=yes,,,tank-water,,,,\n"+
		"1,2024-10-05T08:00:00Z,2024-10-05T09:00:00Z,oil-furnace,,,,,,,eye-sooted,,,,1\n"+
		"1,2024-10-05T08:00:00Z,2024-10-05T09:00:00Z,oil-furnace,,,,,,,eye-sooted,,,,1\n"+
		"1,2024-10-05T08:00:00Z,2024-10-05T09:00:00Z,oil-furnace,,,,,,,nozzle-plugged,,,,1\n"+
		"1,2024-10-05T08:30:00Z,2024-10-05T09:30:00Z,oil-furnace,,,,,,,nozzle-plugged,,,,1\n")
	if did.Imported != 2 || did.Already != 2 || did.Bad != 2 {
		t.Fatalf("%+v %q", did, said)
	}
	for i, want := range []string{
		`jobs.csv:6:job: job 1 is there already and says something else: causes (there "eye-sooted", here "nozzle-plugged")`,
		`jobs.csv:7:opened: job 1 was closed at 2024-10-05T09:00:00Z, and this row goes on with it`,
	} {
		if !strings.HasPrefix(said[i], want) {
			t.Errorf("said %q, want %q...", said[i], want)
		}
	}
	if j, _ := s.Job("1"); len(j.Past) != 1 || j.Closing.Causes[0] != "eye-sooted" {
		t.Errorf("job 1: %+v", j)
	}
}
