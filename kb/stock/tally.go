package stock

import (
	"cmp"
	"slices"
)

// tally adds up scores by method.
type tally struct {
	names []string
	of    map[string]*sums
}

type sums struct {
	parts                       map[string]bool
	months, windows             float64
	pinball, covered, expected  [len(Quantiles)]float64
	aheadCovered, aheadExpected [len(Quantiles)]float64
	mase, rmsse, scaled         float64
}

func (t *tally) get(name string) *sums {
	if t.of == nil {
		t.of = make(map[string]*sums)
	}
	s := t.of[name]
	if s == nil {
		s = &sums{parts: make(map[string]bool)}
		t.of[name] = s
		t.names = append(t.names, name)
	}
	return s
}

// part scores the methods on one part.
func (t *tally) part(f *Forecaster, before, all *History, months, window int, room *rolling) {
	methods := f.candidates(before)
	room.run(before, methods)
	best := f.choose(ClassOf(before.Pieces), room)
	tracks := slices.Clone(room.tracks)
	mae, rmse := NaiveErrors(before.Pieces, 1)
	for j, m := range methods {
		names := []string{m.Name()}
		if j == best {
			names = append(names, Chosen)
		}
		one := score(tracks[j], before, all, months, window, mae, rmse)
		for _, name := range names {
			s := t.get(name)
			s.parts[before.Part] = true
			s.plus(one)
		}
	}
}

// score takes one method through the months after those it knows.
func score(t Track, before, all *History, months, window int, mae, rmse float64) *sums {
	var s sums
	next := len(before.Pieces)
	if came := all.Pieces[next:]; len(came) >= window {
		s.ahead(t.Ahead(WholeMonths(before.Last()+1, window), nil), came[:window])
	}
	var means []float64
	var actual []int
	var d Distribution
	for i := next; i < min(next+months, len(all.Pieces)); i++ {
		o := all.at(i)
		d = t.Ahead([]Span{{o.Month, 1}}, d)
		if o.Pieces >= 0 {
			s.month(d, o.Pieces)
			means, actual = append(means, d.Mean()), append(actual, o.Pieces)
		}
		t.See(o)
	}
	if len(means) > 0 && mae > 0 {
		s.mase, s.rmsse, s.scaled = MASE(means, actual, mae), RMSSE(means, actual, rmse), 1
	}
	return &s
}

func (s *sums) month(d Distribution, y int) {
	s.months++
	for i, q := range d.quantiles() {
		s.pinball[i] += Pinball(Quantiles[i], float64(q), float64(y))
		if y <= q {
			s.covered[i]++
		}
		s.expected[i] += d.CDF(q)
	}
}

func (s *sums) ahead(d Distribution, came []int) {
	var y int
	for _, n := range came {
		if n < 0 {
			return
		}
		y += n
	}
	s.windows++
	for i, q := range d.quantiles() {
		if y <= q {
			s.aheadCovered[i]++
		}
		s.aheadExpected[i] += d.CDF(q)
	}
}

func (s *sums) plus(x *sums) {
	for part := range x.parts {
		s.parts[part] = true
	}
	s.months += x.months
	s.windows += x.windows
	addTo(s.pinball[:], x.pinball[:])
	addTo(s.covered[:], x.covered[:])
	addTo(s.expected[:], x.expected[:])
	addTo(s.aheadCovered[:], x.aheadCovered[:])
	addTo(s.aheadExpected[:], x.aheadExpected[:])
	s.mase += x.mase
	s.rmsse += x.rmsse
	s.scaled += x.scaled
}

func (t *tally) plus(x *tally) {
	for _, name := range x.names {
		t.get(name).plus(x.of[name])
	}
}

// scores turns sums into means.
func (t *tally) scores(window int) []Score {
	list := make([]Score, 0, len(t.names))
	for _, name := range t.names {
		s := t.of[name]
		if s.months == 0 {
			continue
		}
		c := Score{Method: name, Parts: len(s.parts), Forecasts: int(s.months),
			Pinball: byQuantile(s.pinball, s.months), Coverage: byQuantile(s.covered, s.months), Expected: byQuantile(s.expected, s.months),
			Ahead: Covered{window, int(s.windows), byQuantile(s.aheadCovered, s.windows), byQuantile(s.aheadExpected, s.windows)},
		}
		var mean float64
		for _, x := range s.pinball {
			mean += x / s.months / float64(len(Quantiles))
		}
		c.Pinball["mean"] = mean
		if s.scaled > 0 {
			c.MASE, c.RMSSE = s.mase/s.scaled, s.rmsse/s.scaled
		}
		list = append(list, c)
	}
	slices.SortStableFunc(list, func(a, b Score) int { return cmp.Compare(a.Pinball["mean"], b.Pinball["mean"]) })
	return list
}

// byQuantile divides sums into a table by quantile; it is empty when there is
// nothing to divide by.
func byQuantile(sums [len(Quantiles)]float64, n float64) map[string]float64 {
	m := make(map[string]float64, len(Quantiles)+1)
	for i, x := range sums {
		if n > 0 {
			m[quantileNames[i]] = x / n
		}
	}
	return m
}
