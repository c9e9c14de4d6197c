package stock

import (
	"math"
	"time"
)

// DegreeDays are the heating degree days of a place by month, base 65 F: how many
// degrees a day's mean temperature lies below 65 F, added up over the days.
type DegreeDays struct {
	Normal [12]float64       // of an average year, January first
	Months map[Month]float64 // of single months, where they are known
}

// At returns the degree days of a month, those of an average year where the
// month itself is not known.
func (d *DegreeDays) At(m Month) float64 {
	if x, ok := d.Months[m]; ok {
		return x
	}
	return d.Normal[m.Calendar()]
}

// Heating says how a family's jobs follow the cold: Base jobs a month whatever
// the weather and PerDegreeDay for each heating degree day.
type Heating struct {
	Base, PerDegreeDay float64
	Days               *DegreeDays
}

// heatingMonths is how many months of jobs it takes to tell what follows the
// cold from what does not.
const heatingMonths = 12

// FitHeating finds what goes with the highest likelihood of a family's jobs as
// Poisson counts with mean Base + PerDegreeDay x degree days, neither below 0, by
// the steps of expectation and maximisation that scale each part by the jobs it
// was responsible for. It reports false with less than a year of jobs, without
// any job, or without degree days.
func FitHeating(jobs History, d *DegreeDays) (Heating, bool) {
	var counts, cold []float64
	var sum, degrees float64
	for i, n := range jobs.Pieces {
		if n >= 0 {
			x := d.At(jobs.First + Month(i))
			counts, cold = append(counts, float64(n)), append(cold, x)
			sum += float64(n)
			degrees += x
		}
	}
	months := float64(len(counts))
	if len(counts) < heatingMonths || sum == 0 || !(degrees > 0) {
		return Heating{}, false
	}
	h := Heating{Base: sum / 2 / months, PerDegreeDay: sum / 2 / degrees, Days: d}
	for range 10_000 {
		var base, per float64
		for i, n := range counts {
			if mean := h.Base + h.PerDegreeDay*cold[i]; mean > 0 {
				base += n / mean
				per += n / mean * cold[i]
			}
		}
		before := h
		h.Base *= base / months
		h.PerDegreeDay *= per / degrees
		if math.Abs(h.Base-before.Base)*months+math.Abs(h.PerDegreeDay-before.PerDegreeDay)*degrees < 1e-9*sum {
			break
		}
	}
	return h, true
}

// Season returns the monthly profile of an average year.
func (h *Heating) Season() Season {
	var s Season
	var sum float64
	for c := range s {
		s[c] = h.Base + h.PerDegreeDay*h.Days.Normal[c]
		sum += s[c]
	}
	if !(sum > 0) {
		return Season{}
	}
	for c := range s {
		s[c] *= 12 / sum
	}
	return s
}

// At returns the share of an average month's jobs that a month's weather brings.
func (h *Heating) At(m Month) float64 {
	var year float64
	for _, x := range h.Days.Normal {
		year += h.Base + h.PerDegreeDay*x
	}
	if !(year > 0) {
		return 1
	}
	return 12 * (h.Base + h.PerDegreeDay*h.Days.At(m)) / year
}

// fuelSeasonTimes is how many times as busy a month of the fuel season must be
// as one outside it.
const fuelSeasonTimes = 1.2

// FuelSeason returns the first and the last month of the busy stretch of a year:
// of all stretches of months, round the year's end too, the one for which two
// levels, one inside and one outside, have the highest Poisson likelihood. It
// reports false where a month inside is not clearly busier than one outside.
func (s *Season) FuelSeason() (first, last time.Month, ok bool) {
	best := math.Inf(-1)
	for from := range 12 {
		for n := 2; n <= 10; n++ {
			var in, out float64
			for c := range 12 {
				if (c-from+12)%12 < n {
					in += s[c]
				} else {
					out += s[c]
				}
			}
			mean, other := in/float64(n), out/float64(12-n)
			if mean < fuelSeasonTimes*other || mean == 0 {
				continue
			}
			likelihood := in * math.Log(mean)
			if other > 0 {
				likelihood += out * math.Log(other)
			}
			if likelihood > best+1e-12 {
				best, ok = likelihood, true
				first, last = time.Month(from+1), time.Month((from+n-1)%12+1)
			}
		}
	}
	return first, last, ok
}
