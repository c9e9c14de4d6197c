package score

import (
	"cmp"
	"math"
	"slices"
)

// Bins collect forecasts of yes-or-no questions together with the answers. They
// keep sums only. A forecast may weigh less than 1, as when one answer counts
// half.
type Bins struct {
	width float64 // 0: each distinct value is a bin of its own
	bins  map[float64]*bin
}

// bin are the sums of a bin: of the weights w, forecasts p and answers o.
type bin struct{ w, wp, wpp, wo, wpo float64 }

// EqualWidth returns n bins of the same width over [0,1], each with its upper
// bound and without its lower one, which only the first has.
func EqualWidth(n int) *Bins { return &Bins{width: 1 / float64(n), bins: make(map[float64]*bin)} }

// Distinct returns bins of one value each.
func Distinct() *Bins { return &Bins{bins: make(map[float64]*bin)} }

// Add adds a forecast p with its answer o, 1 for yes and 0 for no, that weighs
// w.
func (b *Bins) Add(p, o, w float64) {
	if w == 0 {
		return
	}
	key := p
	if b.width > 0 { // the bin's number
		key = max(0, math.Ceil(math.Round(p/b.width*1e9)/1e9)-1)
	}
	s := b.bins[key]
	if s == nil {
		s = new(bin)
		b.bins[key] = s
	}
	s.w += w
	s.wp += w * p
	s.wpp += w * p * p
	s.wo += w * o
	s.wpo += w * p * o
}

// Bin is what a reliability diagram shows of one bin.
type Bin struct {
	From      float64 `json:"from"`
	To        float64 `json:"to"`
	Forecasts float64 `json:"forecasts"` // how many, each by its weight
	Said      float64 `json:"said"`      // mean forecast
	Was       float64 `json:"was"`       // how often it was so
	// Low and High bound where Was lies, with a chance of 90 %, when the
	// forecasts are honest: consistency bars (Bröcker and Smith 2007, Weather
	// and Forecasting 22:651-661), here by the normal approximation.
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// z90 is the 0.95 quantile of the standard normal distribution.
const z90 = 1.6448536269514722

// List returns the bins that hold forecasts, in order.
func (b *Bins) List() []Bin {
	list := make([]Bin, 0, len(b.bins))
	b.each(func(key float64, s *bin) {
		x := Bin{From: key, To: key, Forecasts: s.w, Said: s.wp / s.w, Was: s.wo / s.w}
		if b.width > 0 {
			x.From, x.To = key*b.width, min(1, (key+1)*b.width)
		}
		reach := z90 * s.luck()
		x.Low, x.High = max(0, x.Said-reach), min(1, x.Said+reach)
		list = append(list, x)
	})
	return list
}

// luck is the standard deviation of how often it is so when the forecasts are
// honest: answers are independent, each yes with its forecast p, so that the
// variance of their sum is the sum of p (1 - p).
func (s *bin) luck() float64 { return math.Sqrt(max(0, s.wp-s.wpp)) / s.w }

// each visits the bins in order, so that equal forecasts give equal sums.
func (b *Bins) each(visit func(key float64, s *bin)) {
	keys := make([]float64, 0, len(b.bins))
	for key := range b.bins {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, cmp.Compare)
	for _, key := range keys {
		visit(key, b.bins[key])
	}
}

// Weight returns how many forecasts there are.
func (b *Bins) Weight() (n float64) {
	b.each(func(_ float64, s *bin) { n += s.w })
	return n
}
