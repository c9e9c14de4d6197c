package stock

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestNewSeasonByHand(t *testing.T) {
	// Two Januaries with 6 and 2 jobs, one February with 4; ten months never seen.
	h := History{First: 24000, Pieces: []int{6, 4, Unknown, Unknown, Unknown, Unknown, Unknown, Unknown, Unknown, Unknown, Unknown, Unknown, 2}}
	s := NewSeason(h, Season{}, 12)
	// January and February: 1 of the prior's 12 a month and 4 jobs a month over
	// 3/12 of a year seen; the others: 1 and 12 jobs by the level year expected.
	want := 2.0
	near(t, "January", s[0]/s[2], (1+4*3./12)/want, 1e-12)
	near(t, "February", s[1]/s[2], (1+4*3./12)/want, 1e-12)
	var sum float64
	for _, x := range s {
		sum += x
	}
	near(t, "mean", sum/12, 1, 1e-12)

	whole := History{First: 24000, Pieces: []int{8, 4, 4, 4, 4, 4, 4, 4, 4, 4, 4, 0}}
	near(t, "a year of 48, prior worth 48", NewSeason(whole, Season{}, 48)[0], (8+4)/8., 1e-12)
	near(t, "and none", NewSeason(whole, Season{}, 0)[11], 0, 1e-12)
	if got := NewSeason(History{}, Season{}, 0); got != (Season{}) {
		t.Errorf("nothing seen gives %v", got)
	}
	winter := Season{3, 3, 2, 1, 0.5, 0, 0, 0, 0.5, 0.5, 0.5, 1}
	for c, x := range NewSeason(History{}, winter, 5) {
		near(t, "as expected, nothing seen", x, winter[c], 1e-12)
	}
}

// TestSeasonsOnlyWhereTheyTell: what differs by chance alone is no season; what
// differs by the time of year is found, whatever a part's usual pieces.
func TestSeasonsOnlyWhereTheyTell(t *testing.T) {
	winter := Season{2.4, 2, 1.4, 0.8, 0.4, 0.2, 0.2, 0.3, 0.7, 1.1, 1.2, 1.3}
	for _, x := range []struct {
		name   string
		season Season
		months int
		found  bool
	}{
		{"level", Season{}, 60, false},
		{"winter", winter, 60, true},
		{"winter, three years", winter, 36, true},
		{"winter, too short", winter, 23, false},
	} {
		r := rand.New(rand.NewPCG(5, 6))
		var parts []History
		for i := range 60 {
			h := History{Part: string(rune('A' + i)), First: 24000}
			for m := range x.months {
				mean := 0.4 * x.season.At(h.First+Month(m))
				n := 0
				for e := -math.Log(r.Float64()); e < mean; e -= math.Log(r.Float64()) {
					n += 1 + i%3*4
				}
				h.Pieces = append(h.Pieces, n)
			}
			parts = append(parts, h)
		}
		got := LearnSeason(parts)
		if found := got != (Season{}); found != x.found {
			t.Errorf("%s: season found is %v", x.name, found)
			continue
		}
		for c := range got {
			if x.found && math.Abs(got[c]-x.season[c]) > 0.35 {
				t.Errorf("%s: month %d brings %.2f, want %.2f", x.name, c+1, got[c], x.season[c])
			}
		}
	}
	if got := LearnSeason(nil); got != (Season{}) {
		t.Errorf("no parts have the season %v", got)
	}
}

// degreeDays reads the mean degree days of six stations over 1991 to 2020, from
// NOAA's monthly summaries; see degree-days.md beside them.
func degreeDays(t *testing.T) map[string][12]float64 {
	f, err := os.Open("../../testdata/stock/degree-days.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	cities := make(map[string][12]float64)
	for _, row := range rows[1:] {
		month, err := strconv.Atoi(row[1])
		if err != nil {
			t.Fatal(err)
		}
		normal := cities[row[0]]
		if normal[month-1], err = strconv.ParseFloat(row[2], 64); err != nil {
			t.Fatal(err)
		}
		cities[row[0]] = normal
	}
	if len(cities) < 6 {
		t.Fatalf("%d stations", len(cities))
	}
	return cities
}

// TestHeatingIsRecovered: jobs that follow real degree days exactly give their
// base and slope back; counted jobs do so about.
func TestHeatingIsRecovered(t *testing.T) {
	for city, normal := range degreeDays(t) {
		days := &DegreeDays{Normal: normal}
		h := History{First: 24000}
		for m := range 36 {
			h.Pieces = append(h.Pieces, int(math.Round(1000*(5+0.02*normal[m%12]))))
		}
		fit, ok := FitHeating(h, days)
		if !ok {
			t.Fatalf("%s: no fit", city)
		}
		near(t, city+" base", fit.Base, 5000, 10)
		near(t, city+" per degree day", fit.PerDegreeDay, 20, 0.04)
		s := fit.Season()
		var mean float64
		for c := range s {
			mean += s[c] / 12
			near(t, city+" season", s[c], fit.At(Month(24000+c)), 1e-12)
		}
		near(t, city+" mean of the season", mean, 1, 1e-12)
	}
}

// TestHeatingIsTheLikeliest compares the fit with a search around it.
func TestHeatingIsTheLikeliest(t *testing.T) {
	normal := degreeDays(t)["AnnArbor"]
	rapid.Check(t, func(t *rapid.T) {
		jobs := History{First: 24000, Pieces: rapid.SliceOfN(rapid.IntRange(Unknown, 30), heatingMonths, 40).Draw(t, "jobs")}
		days := &DegreeDays{Normal: normal, Months: map[Month]float64{24003: rapid.Float64Range(0, 2000).Draw(t, "cold April")}}
		fit, ok := FitHeating(jobs, days)
		if !ok {
			t.Skip("too little")
		}
		likelihood := func(base, per float64) float64 {
			var l float64
			for i, n := range jobs.Pieces {
				mean := base + per*days.At(jobs.First+Month(i))
				if n > 0 {
					l += float64(n) * math.Log(mean)
				}
				if n >= 0 {
					l -= mean
				}
			}
			return l
		}
		best := likelihood(fit.Base, fit.PerDegreeDay)
		for _, a := range []float64{0.9, 0.99, 1, 1.01, 1.1} {
			for _, b := range []float64{0.9, 0.99, 1, 1.01, 1.1} {
				base, per := max(0, fit.Base*a+(a-1)*0.01), max(0, fit.PerDegreeDay*b+(b-1)*1e-4)
				if l := likelihood(base, per); l > best+1e-3 {
					t.Fatalf("%g + %g a degree day has likelihood %g, there is one of %g", fit.Base, fit.PerDegreeDay, best, l)
				}
			}
		}
	})
}

func TestHeatingNeedsAYear(t *testing.T) {
	days := &DegreeDays{Normal: degreeDays(t)["NYC"]}
	for name, x := range map[string]struct {
		jobs []int
		days *DegreeDays
	}{
		"short":          {make([]int, 11), days},
		"no jobs":        {make([]int, 24), days},
		"nothing known":  {[]int{Unknown, Unknown}, days},
		"no degree days": {[]int{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}, &DegreeDays{}},
	} {
		if fit, ok := FitHeating(History{First: 24000, Pieces: x.jobs}, x.days); ok {
			t.Errorf("%s: %+v", name, fit)
		}
	}
}

func TestFuelSeason(t *testing.T) {
	var in struct{ City string }
	var want struct{ Within, About [2]time.Month }
	published(t, "fuel-season.json", "HDD-02", &in, &want) // from memory
	h := Heating{PerDegreeDay: 0.1, Days: &DegreeDays{Normal: degreeDays(t)[in.City]}}
	season := h.Season()
	first, last, ok := season.FuelSeason()
	if !ok || first < want.Within[0] || last > want.Within[1] {
		t.Errorf("the fuel season runs from %v to %v, within %v to %v published", first, last, want.Within[0], want.Within[1])
	}
	if first > want.About[0]+1 || last < want.About[1] {
		t.Errorf("the fuel season runs from %v to %v, about %v to %v published", first, last, want.About[0], want.About[1])
	}
	level := Season{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	if first, last, ok := level.FuelSeason(); ok {
		t.Errorf("a level year has a fuel season from %v to %v", first, last)
	}
	step := Season{2, 2, 2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 2, 2}
	if first, last, ok := step.FuelSeason(); !ok || first != time.November || last != time.March {
		t.Errorf("busy from November to March is found as %v to %v", first, last)
	}
}

func TestJobRate(t *testing.T) {
	// Gamma(2, 4 months) and 9 jobs in 6 months: Gamma(11, 10).
	h := History{First: 24000, Pieces: []int{1, 2, Unknown, 0, 3, 1, 2}}
	r := LearnJobRate(h, RateOptions{Shape: 2, Rate: 4, SeasonWorth: 1e12})
	near(t, "shape", r.Shape, 11, 1e-9)
	near(t, "rate", r.Rate, 10, 1e-6)
	u := r.Over(WholeMonths(24007, 3))
	near(t, "jobs of three months", u.Mean, 3.3, 1e-6)
	near(t, "their shape", u.Shape, 11, 1e-9)

	// Old months count less: 1 job a month for ever, kept by half.
	r = LearnJobRate(History{First: 24000, Pieces: []int{8, 4}}, RateOptions{Keep: 0.5, SeasonWorth: 1e12})
	near(t, "kept by half", r.Shape, 8, 1e-9)
	near(t, "of months", r.Rate, 1.5, 1e-9)
	if u := (&JobRate{}).Over(WholeMonths(24000, 1)); u.Mean != 0 {
		t.Errorf("nothing known expects %g jobs", u.Mean)
	}

	// A cold month with many jobs is no busier than a mild one with few.
	days := &DegreeDays{Normal: degreeDays(t)["NYC"]}
	heating := &Heating{Base: 1, PerDegreeDay: 0.01, Days: days}
	cold := LearnJobRate(History{First: 24000, Pieces: []int{20}}, RateOptions{Heating: heating})
	mild := LearnJobRate(History{First: 24006, Pieces: []int{2}}, RateOptions{Heating: heating})
	near(t, "rate by a cold month", cold.Mean(), 20/heating.At(24000), 1e-9)
	near(t, "rate by a mild month", mild.Mean(), 2/heating.At(24006), 1e-9)
	if cold.Mean() > 2*mild.Mean() {
		t.Errorf("20 jobs in January and 2 in July are rates of %g and %g", cold.Mean(), mild.Mean())
	}
}
