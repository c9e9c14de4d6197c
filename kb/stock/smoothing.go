package stock

// Smoothing is simple exponential smoothing of the monthly demand: the level l
// goes to l + Factor (y - l) (Brown 1959). It starts as the plain average: the
// factor of the nth month is 1/n until that is below Factor.
type Smoothing struct {
	Factor     float64
	Dispersion Dispersion
}

// Name returns smoothing.
func (Smoothing) Name() string { return "smoothing" }

// Begin starts on a part.
func (m Smoothing) Begin() Track {
	return &around{&smoothingTrack{factor: m.Factor}, spread{prior: m.Dispersion}}
}

type smoothingTrack struct{ factor, level, months float64 }

func (t *smoothingTrack) update(_ Month, y float64) {
	t.months++
	t.level += max(t.factor, 1/t.months) * (y - t.level)
}

func (t *smoothingTrack) mean(Month) float64 { return t.level }
