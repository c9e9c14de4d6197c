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

// NewSeason learns a monthly profile from counts by month: the shares of the
// twelve calendar months have a Dirichlet prior about a profile expected before,
// worth so many of what is counted, and the profile is its posterior mean. A
// calendar month that was seen more often than another counts by its average
// year. Months that are [Unknown] are left out.
func NewSeason(counts []History, expected Season, worth float64) Season {
	var sum, seen [12]float64
	for i := range counts {
		h := &counts[i]
		for j, n := range h.Pieces {
			if n >= 0 {
				c := (h.First + Month(j)).Calendar()
				sum[c] += float64(n)
				seen[c]++
			}
		}
	}
	var all, months float64
	for c := range sum {
		all += sum[c]
		months += seen[c]
	}
	var season Season
	var total float64
	for c := range season {
		// A year's worth of what was counted, as if all months were seen alike.
		n := expected.At(Month(c)) / 12 * worth
		if seen[c] > 0 {
			n += sum[c] / seen[c] * months / 12
		} else {
			n += expected.At(Month(c)) / 12 * all
		}
		season[c] = n
		total += n
	}
	if total <= 0 {
		return expected
	}
	for c := range season {
		season[c] *= 12 / total
	}
	return season
}

// LearnSeason is TODO
func LearnSeason(parts []History) Season { return Season{} }
