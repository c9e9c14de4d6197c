package score

import "math"

// CalibrationError returns the expected calibration error, the mean over the
// forecasts of the distance between what was said in their bin and how often it
// was so: sum over bins of (n_b / N) |said_b - was_b| (Guo, Pleiss, Sun and
// Weinberger 2017, ICML, with equal-width bins).
func (b *Bins) CalibrationError() float64 {
	return b.mean(func(s *bin) float64 { return math.Abs(s.wp-s.wo) / s.w })
}

// CalibrationLuck returns about what calibration error honest forecasts would
// show by luck alone, with as many of them: the mean of a half-normal deviation
// in each bin, sqrt(2/pi) of its standard deviation. It falls as the root of
// the number of forecasts.
func (b *Bins) CalibrationLuck() float64 {
	return b.mean(func(s *bin) float64 { return math.Sqrt(2/math.Pi) * s.luck() })
}

// LargestError returns the greatest distance of any bin, the maximum
// calibration error of Guo et al. (2017).
func (b *Bins) LargestError() (most float64) {
	b.each(func(_ float64, s *bin) { most = max(most, math.Abs(s.wp-s.wo)/s.w) })
	return most
}

// mean is the mean over the forecasts of something that each bin has; 0 without
// forecasts.
func (b *Bins) mean(of func(*bin) float64) float64 {
	var sum, n float64
	b.each(func(_ float64, s *bin) {
		sum += s.w * of(s)
		n += s.w
	})
	if n == 0 {
		return 0
	}
	return sum / n
}

// Parts are what the Brier score of yes-or-no forecasts, mean (p - o)^2, is made
// of:
//
//	Brier = Reliability - Resolution + Uncertainty + WithinVariance - WithinCovariance
//
// The first three are Murphy's (1973, Journal of Applied Meteorology
// 12:595-600): the squared distance of what was said in a bin from how often it
// was so; that of how often it was so in a bin from how often at all; and the
// score of who always says the latter. They are the whole when each distinct
// forecast is a bin of its own. Else the other two make up for what the bins
// hide: the variance of the forecasts in a bin, and twice their covariance with
// the answers there (Stephenson, Coelho and Jolliffe 2008, Weather and
// Forecasting 23:752-757).
type Parts struct {
	Brier            float64 `json:"brier"`
	Reliability      float64 `json:"reliability"`
	Resolution       float64 `json:"resolution"`
	Uncertainty      float64 `json:"uncertainty"`
	WithinVariance   float64 `json:"within_bin_variance"`
	WithinCovariance float64 `json:"within_bin_covariance"`
}

// Parts takes the Brier score of the forecasts apart.
func (b *Bins) Parts() Parts {
	rate := b.mean(func(s *bin) float64 { return s.wo / s.w })
	return Parts{
		Brier:       b.mean(func(s *bin) float64 { return (s.wpp - 2*s.wpo + s.wo) / s.w }),
		Reliability: b.mean(func(s *bin) float64 { return square((s.wp - s.wo) / s.w) }),
		Resolution:  b.mean(func(s *bin) float64 { return square(s.wo/s.w - rate) }),
		Uncertainty: rate * (1 - rate),
		// A bin of one value has neither; what rounding leaves there is dropped.
		WithinVariance:   b.within(func(s *bin) float64 { return s.wpp/s.w - square(s.wp/s.w) }),
		WithinCovariance: b.within(func(s *bin) float64 { return 2 * (s.wpo/s.w - s.wp/s.w*(s.wo/s.w)) }),
	}
}

func (b *Bins) within(of func(*bin) float64) float64 {
	if b.width == 0 {
		return 0
	}
	return b.mean(of)
}

func square(x float64) float64 { return x * x }

// times returns the parts of another mean: that over jobs in place of that over
// forecasts, when each job has so many.
func (p Parts) times(n float64) Parts {
	return Parts{Brier: p.Brier * n, Reliability: p.Reliability * n, Resolution: p.Resolution * n, Uncertainty: p.Uncertainty * n,
		WithinVariance: p.WithinVariance * n, WithinCovariance: p.WithinCovariance * n}
}
