package stock

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestMonth(t *testing.T) {
	for _, x := range []struct {
		text     string
		calendar int
		days     int
	}{
		{"2024-02", 1, 29}, {"2023-02", 1, 28}, {"1900-02", 1, 28}, {"2000-02", 1, 29},
		{"2023-12", 11, 31}, {"2024-01", 0, 31}, {"2024-04", 3, 30},
	} {
		m, err := ParseMonth(x.text)
		if err != nil {
			t.Fatal(err)
		}
		if m.String() != x.text || m.Calendar() != x.calendar || m.Days() != x.days {
			t.Errorf("%s is %v, calendar month %d of %d days", x.text, m, m.Calendar(), m.Days())
		}
		if (m + 12).Calendar() != x.calendar {
			t.Errorf("%v is another calendar month than %v", m+12, m)
		}
	}
	for _, bad := range []string{"", "2024", "2024-13", "2024-00", "24-01", "2024-1x", "2024-01-01"} {
		if m, err := ParseMonth(bad); err == nil {
			t.Errorf("%q was read as %v", bad, m)
		}
	}
}

func FuzzParseMonth(f *testing.F) {
	f.Add("2024-01")
	f.Add("0000-12")
	f.Add("9999-12")
	f.Fuzz(func(t *testing.T, s string) {
		if m, err := ParseMonth(s); err == nil && m.String() != s {
			t.Fatalf("%q is written back as %q", s, m)
		}
	})
}

func TestDays(t *testing.T) {
	day := func(s string) time.Time {
		d, err := time.Parse(time.DateOnly, s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	m := func(s string) Month { return MonthOf(day(s + "-01")) }
	for _, x := range []struct {
		from string
		days int
		want []Span
	}{
		{"2024-02-01", 29, []Span{{m("2024-02"), 1}}},
		{"2024-02-01", 30, []Span{{m("2024-02"), 1}, {m("2024-03"), 1. / 31}}},
		{"2023-12-31", 2, []Span{{m("2023-12"), 1. / 31}, {m("2024-01"), 1. / 31}}},
		{"2024-01-15", 10, []Span{{m("2024-01"), 10. / 31}}},
		{"2024-10-01", 92, []Span{{m("2024-10"), 1}, {m("2024-11"), 1}, {m("2024-12"), 1}}},
		{"2024-10-01", 0, nil},
		{"2024-10-01", -3, nil},
	} {
		if diff := cmp.Diff(x.want, Days(day(x.from), x.days)); diff != "" {
			t.Errorf("%d days from %s:\n%s", x.days, x.from, diff)
		}
	}
	if diff := cmp.Diff(Days(day("2024-10-01"), 92), WholeMonths(m("2024-10"), 3)); diff != "" {
		t.Error(diff)
	}
}

func TestTally(t *testing.T) {
	jan := Month(2024 * 12)
	h, err := Tally("igniter", jan, jan+3, []Taken{{jan + 1, 2}, {jan, 1}, {jan + 1, 1}})
	if err != nil {
		t.Fatal(err)
	}
	want := History{Part: "igniter", First: jan, Pieces: []int{1, 3, 0, 0}, Uses: []int{1, 2, 0, 0}, ByPieces: []int{0, 2, 1}}
	if diff := cmp.Diff(want, h); diff != "" {
		t.Fatal(diff)
	}
	if err := h.Check(); err != nil {
		t.Fatal(err)
	}
	h.Forget(jan+2, jan+9, jan-1)
	if diff := cmp.Diff([]int{1, 3, Unknown, 0}, h.Pieces); diff != "" {
		t.Fatal(diff)
	}
	if diff := cmp.Diff([]Month{jan + 2}, h.Missing()); diff != "" {
		t.Fatal(diff)
	}
	if months, used := h.Known(); months != 3 || used != 2 || h.Last() != jan+3 {
		t.Errorf("%d months known, %d used, last %v", months, used, h.Last())
	}
	if cut := h.Until(jan + 1); cut.Last() != jan+1 || len(cut.Uses) != 2 {
		t.Errorf("cut history %+v", cut)
	}
	if cut := h.Until(jan - 5); len(cut.Pieces) != 0 {
		t.Errorf("cut before its start: %+v", cut)
	}
	for want, taken := range map[string]Taken{
		"outside": {jan + 4, 1}, "lies outside 2024-01 to 2024-04": {jan - 1, 1}, "a use takes 1 or more": {jan, 0}, "-2 pieces": {jan, -2},
	} {
		if _, err := Tally("igniter", jan, jan+3, []Taken{taken}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: error %v, want one that says %q", taken, err, want)
		}
	}
	if _, err := Tally("igniter", jan, jan-1, nil); err == nil || !strings.Contains(err.Error(), "before they begin") {
		t.Errorf("months the wrong way round: %v", err)
	}
}

func TestHistoryCheck(t *testing.T) {
	for want, h := range map[string]History{
		"a count is 0 or more": {Pieces: []int{1, -2}},
		"give both":            {Pieces: []int{1, 2}, Uses: []int{1}},
		"2 uses of 1 pieces":   {Pieces: []int{1}, Uses: []int{2}},
		"0 uses of 1 pieces":   {Pieces: []int{1}, Uses: []int{0}},
	} {
		if err := h.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: error %v, want one that says %q", h, err, want)
		}
	}
}

func TestHistories(t *testing.T) {
	at := func(month time.Month) time.Time { return time.Date(2024, month, 9, 8, 0, 0, 0, time.UTC) }
	jan := MonthOf(at(1))
	got, err := Histories([]Visit{
		{At: at(2), Part: "valve", Pieces: 0.5},
		{At: at(1), Part: "igniter", Pieces: 2},
		{At: at(4), Part: "igniter", Pieces: 1}, // has just begun
		{At: at(2), Part: "igniter", Pieces: 1},
	}, jan, jan+2)
	if err != nil {
		t.Fatal(err)
	}
	want := []History{
		{Part: "igniter", First: jan, Pieces: []int{2, 1, 0}, Uses: []int{1, 1, 0}, ByPieces: []int{0, 1, 1}},
		{Part: "valve", First: jan, Pieces: []int{0, 1, 0}, Uses: []int{0, 1, 0}, ByPieces: []int{0, 1}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Fatal(diff)
	}
}
