package stock

// Croston forecasts the size of a demand and the months from one demand to the
// next apart, each by exponential smoothing at the months with a demand only
// (Croston 1972, Operational Research Quarterly 23:289-303): with z the size, x
// the interval and q the months since the last demand,
//
//	z <- z + Size (y - z),  x <- x + Interval (q - x),  mean z/x
//
// Both start at the first demand: z its size, x its position. Before it there is
// no forecast, which counts as one of nothing.
type Croston struct {
	Size, Interval float64 // smoothing factors
	Correction     Correction
	Dispersion     Dispersion
}

// Correction takes the bias out of Croston's mean, which divides by an interval
// that is itself an average.
type Correction int

// The corrections, B being the factor that smooths the interval.
const (
	Uncorrected         Correction = iota
	SyntetosBoylan                 // 1 - B/2 (Syntetos and Boylan 2005, Int. J. Forecasting 21:303-314)
	ShaleBoylanJohnston            // 1 - B/(2-B) (Shale, Boylan and Johnston 2006, J. Oper. Res. Society 57:588-592)
)

// Name returns croston, sba or sbj.
func (c Croston) Name() string { return [...]string{"croston", "sba", "sbj"}[c.Correction] }

// Begin starts on a part.
func (c Croston) Begin() Track {
	return &around{&crostonTrack{Croston: c}, spread{prior: c.Dispersion}}
}

type crostonTrack struct {
	Croston
	size, interval, since float64
}

func (t *crostonTrack) update(_ Month, y float64) {
	t.since++
	if y <= 0 {
		return
	}
	if t.interval == 0 {
		t.size, t.interval = y, t.since
	} else {
		t.size += t.Size * (y - t.size)
		t.interval += t.Interval * (t.since - t.interval)
	}
	t.since = 0
}

func (t *crostonTrack) mean(Month) float64 {
	if t.interval == 0 {
		return 0
	}
	rate := t.size / t.interval
	switch t.Correction {
	case SyntetosBoylan:
		rate *= 1 - t.Croston.Interval/2
	case ShaleBoylanJohnston:
		rate *= 1 - t.Croston.Interval/(2-t.Croston.Interval)
	}
	return rate
}
