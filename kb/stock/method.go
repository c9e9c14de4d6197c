package stock

import "math"

// Method is a way to tell the coming demand of a part from its past.
type Method interface {
	// Name is how the method stands in a forecast.
	Name() string
	// Begin starts on a part that has shown nothing yet.
	Begin() Track
}

// Track is a method on its way through the history of one part.
type Track interface {
	// See takes in the next month.
	See(o Observed)
	// Ahead returns the demand over spans that follow the months seen. It is
	// written into a buffer, whose room is used again and whose content is lost.
	Ahead(spans []Span, buffer Distribution) Distribution
}

// Observed is one month of a part's history. Pieces and Uses may be [Unknown].
type Observed struct {
	Month        Month
	Pieces, Uses int
}

// at returns month i of the history.
func (h *History) at(i int) Observed {
	o := Observed{h.First + Month(i), h.Pieces[i], Unknown}
	if h.Uses != nil {
		o.Uses = h.Uses[i]
	}
	return o
}

// through takes a method through the whole history.
func (h *History) through(t Track) Track {
	for i := range h.Pieces {
		t.See(h.at(i))
	}
	return t
}

// Dispersion says how much the demand of a month spreads about what was
// forecast, as the ratio of variance to mean: 1 for Poisson. It is that of other
// parts, worth so many expected pieces of this part's own; worth +Inf, the
// part's own past has no say.
type Dispersion struct{ Ratio, Worth float64 }

// spread learns a part's own dispersion from its past errors of one month ahead:
//
//	ratio = (Worth Ratio + sum (y-f)^2) / (Worth + sum f)
//
// for demands y and forecasts f, and not below 1 nor above mostRatio. It is the
// moment estimate that weighs each month by what was expected of it.
type spread struct {
	prior          Dispersion
	squares, means float64
}

// mostRatio keeps distributions short: their tails reach out to about 28 times
// the ratio. Only parts taken by the hundred come near it.
const mostRatio = 200

func (s *spread) see(y, f float64) {
	s.squares += (y - f) * (y - f)
	s.means += f
}

func (s *spread) ratio() float64 {
	if math.IsInf(s.prior.Worth, 1) || s.prior.Worth+s.means <= 0 {
		return max(1, s.prior.Ratio)
	}
	return min(mostRatio, max(1, (s.prior.Worth*s.prior.Ratio+s.squares)/(s.prior.Worth+s.means)))
}

// recursion is a method that only tells the mean demand of a month.
type recursion interface {
	update(m Month, pieces float64)
	mean(m Month) float64
}

// around puts a distribution around the means of a recursion: negative binomial
// with the ratio of variance to mean that past errors had, which can be divided
// into months and days as the demand itself can. It is Poisson at a ratio of 1.
type around struct {
	recursion
	spread
}

func (a *around) See(o Observed) {
	if o.Pieces < 0 {
		return // the recursions count months that are known
	}
	a.see(float64(o.Pieces), a.mean(o.Month))
	a.update(o.Month, float64(o.Pieces))
}

func (a *around) Ahead(spans []Span, buffer Distribution) Distribution {
	var mean float64
	for _, s := range spans {
		mean += s.Share * a.mean(s.Month)
	}
	return overdispersed(mean, a.ratio(), buffer)
}

// overdispersed writes the negative binomial with a mean and a ratio of variance
// to mean into a buffer: shape = mean/(ratio-1), Poisson at a ratio of 1.
func overdispersed(mean, ratio float64, buffer Distribution) Distribution {
	shape := math.Inf(1)
	if ratio > 1+1e-9 {
		shape = mean / (ratio - 1)
	}
	return appendNegativeBinomial(buffer[:0], shape, mean)
}
