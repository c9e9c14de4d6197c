package picture

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot"
)

func TestFormat(t *testing.T) {
	for file, want := range map[string]string{"a.svg": SVG, "b/c.PNG": PNG, "a.pdf": "", "svg": "", "": ""} {
		if got, err := Format(file); got != want || (err == nil) != (want != "") {
			t.Errorf("Format(%q) = %q, %v; want %q", file, got, err, want)
		}
	}
	if err := Write(&strings.Builder{}, "gif", 10, 10, nil); err == nil {
		t.Error("a GIF is drawn")
	}
}

func labels(ticks []plot.Tick) (list []string) {
	for _, t := range ticks {
		list = append(list, t.Label)
	}
	return list
}

func TestTicks(t *testing.T) {
	day := func(text string) float64 {
		at, err := time.Parse(time.DateOnly, text)
		if err != nil {
			t.Fatal(err)
		}
		return float64(at.Unix())
	}
	for _, test := range []struct {
		name        string
		ticker      plot.Ticker
		least, most float64
		want        string
	}{
		{"percents", Percents(0.25), 0, 1, "[0% 25% 50% 75% 100%]"},
		{"small numbers", Numbers{}, 0, 0.9, "[0 0.2 0.4 0.6 0.8]"},
		{"numbers", Numbers{}, 0, 6.6, "[0 1 2 3 4 5 6]"},
		{"greater numbers", Numbers{}, 0, 31, "[0 5 10 15 20 25 30]"},
		{"one day", Dates{}, day("2024-03-05"), day("2024-03-05"), "[5 Mar 2024]"},
		{"weeks", Dates{}, day("2024-03-05"), day("2024-04-05"), "[5 Mar 2024 5 Apr 2024]"},
		{"months", Dates{}, day("2024-03-05"), day("2024-07-20"), "[Mar 2024 Apr 2024 May 2024 Jun 2024 Jul 2024]"},
		{"some years", Dates{}, day("2023-08-03"), day("2026-05-30"), "[Jul 2023 Jan 2024 Jul 2024 Jan 2025 Jul 2025 Jan 2026]"},
		{"many years", Dates{}, day("2001-08-03"), day("2031-05-30"), "[2000 2005 2010 2015 2020 2025 2030]"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := fmt.Sprint(labels(test.ticker.Ticks(test.least, test.most))); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
		})
	}
}

// TestTicksAreFew: whatever the range, a handful of names fits.
func TestTicksAreFew(t *testing.T) {
	for most := 0.001; most < 1e9; most *= 1.37 {
		if n := len((Numbers{}).Ticks(0, most)); n < 3 || n > 9 {
			t.Errorf("%d numbers up to %v", n, most)
		}
		if n := len((Dates{}).Ticks(1.7e9, 1.7e9+most)); n < 1 || n > 9 {
			t.Errorf("%d dates in %v days", n, math.Round(most/86400))
		}
	}
}
