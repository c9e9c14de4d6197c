package stock

// SeasonalMean expects of a month what the same calendar month brought on
// average in the years before, and the average of all months where it was never
// seen.
type SeasonalMean struct{ Dispersion Dispersion }

// Name returns seasonal.
func (SeasonalMean) Name() string { return "seasonal" }

// Begin starts on a part.
func (m SeasonalMean) Begin() Track {
	return &around{&seasonalTrack{}, spread{prior: m.Dispersion}}
}

type seasonalTrack struct{ pieces, months [12]float64 }

func (t *seasonalTrack) update(m Month, y float64) {
	t.pieces[m.Calendar()] += y
	t.months[m.Calendar()]++
}

func (t *seasonalTrack) mean(m Month) float64 {
	if c := m.Calendar(); t.months[c] > 0 {
		return t.pieces[c] / t.months[c]
	}
	var pieces, months float64
	for c := range t.months {
		pieces += t.pieces[c]
		months += t.months[c]
	}
	if months == 0 {
		return 0
	}
	return pieces / months
}
