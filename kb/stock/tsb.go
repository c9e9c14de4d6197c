package stock

// TSB forecasts the chance of a demand every month and the size of a demand at
// the months with one (Teunter, Syntetos and Babai 2011, European J. Operational
// Research 214:606-615): with p the chance and z the size,
//
//	p <- p + Chance (1{y>0} - p),  z <- z + Size (y - z) when y > 0,  mean p z
//
// so that, unlike Croston's, the forecast falls while nothing is used.
//
// Both start as plain averages: the factor of the nth month (or demand) is 1/n
// until that is below the smoothing factor. No start value has to be guessed,
// and the first month is counted once.
type TSB struct {
	Size, Chance float64 // smoothing factors
	Dispersion   Dispersion
}

// Name returns tsb.
func (TSB) Name() string { return "tsb" }

// Begin starts on a part.
func (m TSB) Begin() Track { return &around{&tsbTrack{TSB: m}, spread{prior: m.Dispersion}} }

type tsbTrack struct {
	TSB
	size, chance    float64
	demands, months float64 // seen, for the start
}

func (t *tsbTrack) update(_ Month, y float64) {
	t.months++
	b := max(t.Chance, 1/t.months)
	if y <= 0 {
		t.chance -= b * t.chance
		return
	}
	t.chance += b * (1 - t.chance)
	t.demands++
	t.size += max(t.Size, 1/t.demands) * (y - t.size)
}

func (t *tsbTrack) mean(Month) float64 { return t.chance * t.size }
