package stock

// Discounted is a Poisson demand whose rate is known as a Gamma distribution
// that forgets: after a month with y pieces its shape a and rate b are
//
//	a <- Keep a + y,  b <- Keep b + e
//
// (the power discounting of West and Harrison, Bayesian Forecasting and Dynamic
// Models, 2nd ed. 1997; for counts Harvey and Fernandes 1989, J. Business and
// Economic Statistics 7:407-417), e being what share of an average month's
// demand the season brings. The demand ahead is negative binomial with shape a
// and mean a/b for an average month: the wider, the less was seen.
//
// It starts as if Worth months with Mean pieces had been seen.
type Discounted struct {
	Keep        float64
	Mean, Worth float64
	Season      Season
}

// Name returns discounted.
func (Discounted) Name() string { return "discounted" }

// Begin starts on a part.
func (m Discounted) Begin() Track {
	return &discountedTrack{Discounted: m, shape: m.Mean * m.Worth, rate: m.Worth}
}

type discountedTrack struct {
	Discounted
	shape, rate float64
}

func (t *discountedTrack) See(o Observed) {
	t.shape *= t.Keep
	t.rate *= t.Keep
	if o.Pieces >= 0 {
		t.shape += float64(o.Pieces)
		t.rate += t.Season.At(o.Month)
	}
}

func (t *discountedTrack) Ahead(spans []Span, buffer Distribution) Distribution {
	if t.rate <= 0 || t.shape <= 0 {
		return append(buffer[:0], 1)
	}
	return appendNegativeBinomial(buffer[:0], t.shape, t.shape/t.rate*t.Season.Over(spans))
}
