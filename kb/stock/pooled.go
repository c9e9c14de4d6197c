package stock

import "math"

// Pooled is a [Discounted] rate that is pulled towards what all parts together
// brought lately: with s the discounted pieces of a part, n the discounted
// months they came in and M the mean of all parts in the months before,
//
//	mean = (Worth M + s) / (Worth + n)
//
// which is the posterior mean of a Gamma rate whose prior, worth so many months
// (fewer for a part that is much faster), all parts share (an empirical Bayes estimate; for this use Snyder, Beaumont
// and Ord 2012, Monash Econometrics working paper 15/12, who found smoothing
// many series together with a negative binomial best of 24 methods for such
// parts). Its spread is the part's own past one, pulled towards that of all.
type Pooled struct {
	Keep, Worth float64
	Means       MonthlyMean
	Dispersion  Dispersion
	Season      Season
	Comes       float64 // what share of it is expected from now on; all of it when 0
}

// Name returns pooled.
func (*Pooled) Name() string { return "pooled" }

// Begin starts on a part.
func (m *Pooled) Begin() Track { return &pooledTrack{Pooled: m, spread: spread{prior: m.Dispersion}} }

type pooledTrack struct {
	*Pooled
	spread
	pieces, months float64
	next           Month
}

func (t *pooledTrack) rate() float64 {
	all, worth := t.prior()
	if worth+t.months <= 0 {
		return 0
	}
	return (worth*all + t.pieces) / (worth + t.months)
}

// muchFaster is how many times what all parts bring a part must bring for them to
// count less against it: a part taken by the hundred is not like the others.
// From 5 on the car parts are forecast as well as without.
const muchFaster = 5

// prior returns what all parts bring in a month and how many months that is
// worth.
func (t *pooledTrack) prior() (mean, worth float64) {
	mean = t.Means.Before(t.next)
	if own := t.pieces / t.months; own > muchFaster*mean {
		return mean, t.Worth * muchFaster * mean / own
	}
	return mean, t.Worth
}

func (t *pooledTrack) See(o Observed) {
	t.next = o.Month
	e := t.Season.At(o.Month)
	if o.Pieces >= 0 {
		t.see(float64(o.Pieces), e*t.rate())
	}
	t.pieces *= t.Keep
	t.months *= t.Keep
	if o.Pieces >= 0 {
		t.pieces += float64(o.Pieces)
		t.months += e
	}
	t.next = o.Month + 1
}

func (t *pooledTrack) Ahead(spans []Span, buffer Distribution) Distribution {
	if t.next == 0 && len(spans) > 0 {
		t.next = spans[0].Month
	}
	e := t.Season.Over(spans)
	// One month's errors hold what the level is off by, once. Over more months it
	// is off by the same amount in all of them.
	_, worth := t.prior()
	ratio := t.ratio() + max(0, e-1)/max(worth+t.months, 1)
	share := t.Comes
	if share == 0 {
		share = 1
	}
	return overdispersed(share*e*t.rate(), 1+share*(ratio-1), buffer) // thinned
}

// MonthlyMean is what the parts of a shop brought on average in the months
// before each month, later ones counting more.
type MonthlyMean struct {
	First Month
	Mean  []float64 // of the months before First+i; one more than there are months
}

// Before returns the mean of the months before a month, 0 without any.
func (m *MonthlyMean) Before(month Month) float64 {
	if len(m.Mean) == 0 {
		return 0
	}
	return m.Mean[min(max(0, int(month-m.First)), len(m.Mean)-1)]
}

// NewMonthlyMean averages the monthly demand of parts per average month of a
// season: keep is what a month counts less than the one after it. The first
// months stand for those before them.
func NewMonthlyMean(parts []History, season Season, keep float64) MonthlyMean {
	first, last := Month(math.MaxInt), Month(math.MinInt)
	for i := range parts {
		if len(parts[i].Pieces) > 0 {
			first, last = min(first, parts[i].First), max(last, parts[i].Last())
		}
	}
	if last < first {
		return MonthlyMean{}
	}
	pieces, months := make([]float64, last-first+1), make([]float64, last-first+1)
	for i := range parts {
		for j, n := range parts[i].Pieces {
			if n >= 0 {
				m := parts[i].First + Month(j)
				pieces[m-first] += float64(n)
				months[m-first] += season.At(m)
			}
		}
	}
	mean := MonthlyMean{First: first, Mean: make([]float64, len(pieces)+1)}
	var s, n float64
	for i := range pieces {
		s, n = keep*s+pieces[i], keep*n+months[i]
		if n > 0 {
			mean.Mean[i+1] = s / n
		}
	}
	mean.Mean[0] = mean.Mean[min(3, len(pieces))]
	return mean
}
