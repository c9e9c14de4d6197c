package shop

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestDateLayouts: how dates are written, and what of it they read.
func TestDateLayouts(t *testing.T) {
	for _, test := range []struct{ layout, cell, want string }{
		{"YYYY-MM-DD", "2024-03-02", "2024-03-02"},
		{"YYYY-MM-DD", "2024-3-2", ""},
		{"M/D/YYYY", "3/2/2024", "2024-03-02"},
		{"M/D/YYYY", "03/02/2024", "2024-03-02"},
		{"M/D/YYYY", "2/30/2024", ""},
		{"M/D/YYYY", "3/2/24", ""},
		{"M/D/YYYY", "3/2/2024 9:00", ""},
		{"M/D/YY", "3/2/24", "2024-03-02"},
		{"M/D/YY", "3/2/99", "2099-03-02"},
		{"D.M.YYYY", "2.3.2024", "2024-03-02"},
		{"D.M.YYYY HH:mm", "2.3.2024 14:05", "2024-03-02T14:05:00Z"},
		{"D.M.YYYY HH:mm:ss", "2.3.2024 14:05:59", "2024-03-02T14:05:59Z"},
		{"YYYYMMDD", "20240302", "2024-03-02"},
		{"YYYY-MM-DDTHH:mm", "2024-03-02T14:05", "2024-03-02T14:05:00Z"},
		{"D MMM YYYY", "2 mar 2024", "2024-03-02"},
		{"M/D/YYYY h:mm AM", "3/2/2024 2:05 pm", "2024-03-02T14:05:00Z"},
		{"M/D/YYYY h:mm AM", "3/2/2024 12:05 AM", "2024-03-02T00:05:00Z"},
		{"M/D/YYYY h:mm AM", "3/2/2024 14:05 AM", ""},
		{"M/D/YYYY", "", ""},
	} {
		m := mustMap(t, "schema: 1\ndates: '"+test.layout+"'\n")
		got, err := m.date(new(rawRow), test.cell)
		if got != test.want || (err != nil) != (test.want == "") {
			t.Errorf("%q as %s is %q, error %v; want %q", test.cell, test.layout, got, err, test.want)
		}
	}
}

// TestLayoutsThatAreNone: what says no date, or says it twice, is refused.
func TestLayoutsThatAreNone(t *testing.T) {
	for _, text := range []string{"", "MM/DD", "YYYY", "DD/DD/YYYY", "2006-01-02", "YYYY-MM-DD_HH", "M/D/YYYY h:mm", "M/D/YYYY H:mm AM", "M/D/YYYY mm", "M/D/YYYY HH ss", "Mon D YYYY", "M/D/YYYY\u00a0", "MMMM D YYYY"} {
		if l, err := parseDateLayout(text); err == nil {
			t.Errorf("%q is taken for %+v", text, l)
		}
	}
}

// TestDatesInTwoWays: of two layouts that read a cell differently neither is
// taken; where they agree it is.
func TestDatesInTwoWays(t *testing.T) {
	m := mustMap(t, "schema: 1\ndates: [M/D/YYYY, D/M/YYYY]\n")
	if _, err := m.date(new(rawRow), "3/2/2024"); err == nil || !strings.HasPrefix(err.Error(), `"3/2/2024" is 2024-03-02 as M/D/YYYY and 2024-02-03 as D/M/YYYY; keep one of the two under dates in map.yaml`) {
		t.Errorf("error %v", err)
	}
	for cell, want := range map[string]string{"3/3/2024": "2024-03-03", "3/22/2024": "2024-03-22", "22/3/2024": "2024-03-22"} {
		if got, err := m.date(new(rawRow), cell); got != want {
			t.Errorf("%s is %q, error %v; want %s", cell, got, err, want)
		}
	}
}

// TestLayoutsReadWhatTheyWrite: any layout that is taken reads back what package
// time writes by it, to the day and, where it has a clock, to the minute.
func TestLayoutsReadWhatTheyWrite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one := func(of ...string) string { return rapid.SampledFrom(of).Draw(t, "token") }
		tokens := rapid.Permutation([]string{one("YYYY", "YY"), one("MMM", "MM", "M"), one("DD", "D")}).Draw(t, "day")
		tokens = append(tokens, one("", "T", "HH", "H", "HH:mm", "H.mm:ss", "h:mm AM", "AM hh", "hh mm ss AM"))
		text := strings.Join(tokens, one("/", ".", "-", " ", ", "))
		l, err := parseDateLayout(text)
		if err != nil {
			t.Fatal(err)
		}
		at := time.Unix(rapid.Int64Range(946684800, 4070908799).Draw(t, "at"), 0).UTC() // the years 2000 to 2098
		got, ok := l.read(at.Format(l.go_))
		switch {
		case !ok || got.Format(time.DateOnly) != at.Format(time.DateOnly):
			t.Fatalf("%s writes %s as %q and reads it as %s", text, at, at.Format(l.go_), got)
		case l.clock && got.Hour() != at.Hour():
			t.Fatalf("%s writes %s as %q and reads it as %s", text, at, at.Format(l.go_), got)
		}
	})
}
