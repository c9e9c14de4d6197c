package stock

// Season is a monthly profile: what share of an average month's jobs (or
// demand) each calendar month brings, January first. Its mean is 1. The zero
// value is no season.
type Season [12]float64

// At returns the share of a month, 1 without a season.
func (s *Season) At(m Month) float64 {
	if *s == (Season{}) {
		return 1
	}
	return s[m.Calendar()]
}

// Over returns how many average months the spans are worth.
func (s *Season) Over(spans []Span) float64 {
	var sum float64
	for _, x := range spans {
		sum += x.Share * s.At(x.Month)
	}
	return sum
}

// Peak returns the share of the busiest month.
func (s *Season) Peak() float64 {
	if *s == (Season{}) {
		return 1
	}
	peak := s[0]
	for _, x := range s {
		peak = max(peak, x)
	}
	return peak
}

// NewSeason learns a monthly profile from counts, such as a family's jobs by
// month: the shares of the twelve calendar months have a Dirichlet prior about a
// profile expected before, worth so many of what is counted, and the profile is
// its posterior mean. A calendar month that was seen more often than another
// counts by its average year. Months that are [Unknown] are left out.
func NewSeason(counts History, expected Season, worth float64) Season {
	var all []monthOfAll
	for j, n := range counts.Pieces {
		if n >= 0 {
			all = append(all, monthOfAll{counts.First + Month(j), float64(n), 1})
		}
	}
	return seasonOf(all, expected, worth)
}

func seasonOf(all []monthOfAll, expected Season, worth float64) Season {
	var sum, seen [12]float64
	var demand, months float64
	for _, m := range all {
		sum[m.month.Calendar()] += m.demand
		seen[m.month.Calendar()] += m.months
		demand += m.demand
		months += m.months
	}
	var season Season
	var total float64
	for c := range season {
		season[c] = worth * expected.At(Month(c)) / 12
		if seen[c] > 0 { // as if all calendar months were seen alike
			season[c] += sum[c] / seen[c] * months / 12
		} else {
			season[c] += demand * expected.At(Month(c)) / 12
		}
		total += season[c]
	}
	if !(total > 0) {
		return expected
	}
	for c := range season {
		season[c] *= 12 / total
	}
	return season
}

// How a season is told from chance: from how many months, and how much closer
// than a level year it must have forecast them.
const (
	seasonMonths = 24
	seasonBetter = 0.8
	seasonWorth  = 24 // months of one part that a level year is worth
)

// LearnSeason finds the monthly profile of the demand of all parts, each counted
// in its own usual pieces a month so that none outweighs the others. It is no
// season where there are less than two years, or where a level year would have
// forecast the months after the first year about as well: from the mean of the
// twelve months before each, with a profile from the months before it.
func LearnSeason(parts []History) Season {
	all := allByMonth(byPart(parts))
	n := len(all)
	if n < seasonMonths {
		return Season{}
	}
	var level, seasonal float64
	for i := 12; i < n; i++ {
		if all[i].months == 0 {
			continue
		}
		var demand, months float64
		for _, m := range all[i-12 : i] {
			demand += m.demand
			months += m.months
		}
		if demand == 0 {
			continue
		}
		mean := demand / months
		before := seasonOf(all[:i], Season{}, seasonWorth*mean)
		y := all[i].demand / all[i].months
		level += (y/mean - 1) * (y/mean - 1)
		off := y/mean - before.At(all[i].month)
		seasonal += off * off
	}
	if seasonal > seasonBetter*level {
		return Season{}
	}
	var demand, months float64
	for _, m := range all {
		demand += m.demand
		months += m.months
	}
	return seasonOf(all, Season{}, seasonWorth*demand/months)
}

// monthOfAll is what all parts together brought in a month, and how many of them
// are known.
type monthOfAll struct {
	month          Month
	demand, months float64
}

// allByMonth adds up the parts by month, each in its usual pieces a month.
func allByMonth(parts []History) []monthOfAll {
	mean := NewMonthlyMean(parts, Season{}, 1)
	all := make([]monthOfAll, max(0, len(mean.Mean)-1))
	for i := range all {
		all[i].month = mean.First + Month(i)
	}
	for i := range parts {
		h := &parts[i]
		var pieces, used float64
		for _, n := range h.Pieces {
			if n > 0 {
				pieces += float64(n)
				used++
			}
		}
		for j, n := range h.Pieces {
			if n >= 0 {
				m := &all[h.First+Month(j)-mean.First]
				m.months++
				if n > 0 {
					m.demand += float64(n) * used / pieces
				}
			}
		}
	}
	return all
}
