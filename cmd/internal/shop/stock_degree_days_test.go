package shop

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sootsayer/kb/stock"
)

// degreeDaysFile reads a station of testdata/stock/degree-days.csv: NOAA's monthly
// summaries, mean of 1991 to 2020 (CC0).
func degreeDaysFile(t testing.TB, place string) *stock.DegreeDays {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "stock", "degree-days.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d, err := ReadDegreeDays("degree-days.csv", f, place)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestReadDegreeDays(t *testing.T) {
	d := degreeDaysFile(t, "AnnArbor")
	var year float64
	for _, x := range d.Normal {
		year += x
	}
	if d.Normal[0] != 1233.31 || d.Normal[6] != 5.15 || math.Abs(year-6200.68) > 0.01 || len(d.Months) != 0 {
		t.Errorf("normals %v, %v in all, months %v", d.Normal, year, d.Months)
	}
	d, err := ReadDegreeDays("x", strings.NewReader("\ufeffMonth,HDD\n2024-01,1000\n2025-01,1100\n"+months(2, 12)), "")
	if err != nil {
		t.Fatal(err)
	}
	if m, _ := stock.ParseMonth("2025-01"); d.Normal[0] != 1050 || d.At(m) != 1100 || d.Normal[11] != 12 {
		t.Errorf("normals %v, months %v", d.Normal, d.Months)
	}
}

// months writes rows of degree days.
func months(from, to int) string {
	var b strings.Builder
	for m := from; m <= to; m++ {
		fmt.Fprintf(&b, "%d,%d\n", m, m)
	}
	return b.String()
}

func TestReadDegreeDaysMistakes(t *testing.T) {
	for name, test := range map[string]struct{ text, place, want string }{
		"empty":           {"", "", "d.csv has no first line that names its columns; write month,hdd"},
		"no columns":      {"a,b\n", "", "d.csv: the first line has to name the columns month and hdd"},
		"no rows":         {"month,hdd\n", "", "d.csv has no rows; write one for each month"},
		"month missing":   {"month,hdd\n" + months(1, 11), "", "d.csv: nothing is said of month 12"},
		"month 13":        {"month,hdd\n13,5\n", "", "d.csv:2: there is no month 13"},
		"no month":        {"month,hdd\nMay,5\n", "", `d.csv:2: "May" is not a month`},
		"month twice":     {"month,hdd\n1,5\n1,5\n", "", "d.csv:3: month 1 is given twice"},
		"a month twice":   {"month,hdd\n2024-01,5\n2024-01,6\n", "", "d.csv:3: 2024-01 is given twice"},
		"negative":        {"month,hdd\n1,-5\n", "", `d.csv:2: "-5" are no heating degree days`},
		"not a number":    {"month,hdd\n1,NaN\n", "", `d.csv:2: "NaN" are no heating degree days`},
		"too many":        {"month,hdd\n1,99999\n", "", `d.csv:2: "99999" are no heating degree days`},
		"a cell missing":  {"month,hdd\n1\n", "", `d.csv:2: "" are no heating degree days`},
		"several places":  {"city,month,hdd\nA,1,5\nB,1,5\n", "", "d.csv:3: there are several places in it; name one behind a #, as in d.csv#A"},
		"an unknown city": {"city,month,hdd\nUpton,1,5\n", "Uptown", `no place "Uptown"; did you mean "Upton"?`},
		"a quote":         {"month,hdd\n\"1,5\n", "", "d.csv cannot be read as CSV"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ReadDegreeDays("d.csv", strings.NewReader(test.text), test.place)
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("%v, want %q", err, test.want)
			}
		})
	}
}

func FuzzReadDegreeDays(f *testing.F) {
	f.Add("month,hdd\n"+months(1, 12), "")
	f.Add("city,month,hdd65\nA,2024-01,5\n", "A")
	f.Fuzz(func(t *testing.T, text, place string) {
		d, err := ReadDegreeDays("d.csv", strings.NewReader(text), place)
		if err != nil {
			return
		}
		for _, x := range d.Normal {
			if !(x >= 0 && x <= mostDegreeDays) {
				t.Fatalf("normals %v", d.Normal)
			}
		}
	})
}
