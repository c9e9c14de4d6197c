package stock

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// drawLevels makes two or three levels with up to three pieces a month, and
// perhaps a season.
func drawLevels(t *rapid.T) *Levels {
	states := rapid.IntRange(2, 3).Draw(t, "states")
	row := func(n int) Distribution {
		d := make(Distribution, n)
		for i := range d {
			d[i] = rapid.Float64Range(0.01, 1).Draw(t, "chance")
		}
		return d.normalised()
	}
	l := &Levels{States: states, First: row(states), Brings: make([]float64, states*Outputs)}
	for k := range states {
		l.Move = append(l.Move, row(states)...)
		copy(l.Brings[k*Outputs:], row(4))
	}
	if rapid.Bool().Draw(t, "seasonal") {
		for c := range l.Season {
			l.Season[c] = rapid.Float64Range(0.2, 2).Draw(t, "season")
		}
	}
	return l
}

// paths walks every path of levels over the months of a history and a number of
// months ahead, with its chance.
func (l *Levels) paths(n int, visit func(path []int, chance float64)) {
	path := make([]int, n)
	var walk func(i int, p float64)
	walk = func(i int, p float64) {
		if i == n {
			visit(path, p)
			return
		}
		for k := range l.States {
			path[i] = k
			if i == 0 {
				walk(1, l.First[k])
			} else {
				walk(i+1, p*l.Move[path[i-1]*l.States+k])
			}
		}
	}
	walk(0, 1)
}

// month is the chance that level k brings y pieces in a month.
func (l *Levels) month(k int, m Month, y int) float64 {
	if y == Unknown {
		return 1
	}
	return thinned(l.Brings[k*Outputs+y], l.Season.At(m)/l.Season.Peak(), y)
}

// slowAhead is what Ahead must give: over all paths of levels and all sums.
func (l *Levels) slowAhead(h *History, spans []Span) Distribution {
	last := int(spans[len(spans)-1].Month - h.First)
	sum := make(Distribution, 3*len(spans)+1)
	l.paths(last+1, func(path []int, p float64) {
		for i, y := range h.Pieces {
			p *= l.month(path[i], h.First+Month(i), y)
		}
		came := Certain(0)
		for _, s := range spans {
			e := s.Share * l.Season.At(s.Month) / l.Season.Peak()
			one := make(Distribution, 4)
			for n := range one {
				one[n] = thinned(l.Brings[path[s.Month-h.First]*Outputs+n], e, n)
			}
			came = plainPlus(came, one)
		}
		for n, q := range came {
			sum[n] += p * q
		}
	})
	return sum.normalised()
}

func TestLevelsAgainstPaths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLevels(t)
		h := &History{First: 24000, Pieces: rapid.SliceOfN(rapid.IntRange(Unknown, 3), 0, 4).Draw(t, "pieces")}
		from := h.Last() + 1 + Month(rapid.IntRange(0, 2).Draw(t, "gap"))
		spans := WholeMonths(from, rapid.IntRange(1, 3).Draw(t, "ahead"))
		spans[0].Share = rapid.Float64Range(0, 1).Draw(t, "share")
		track := h.through(l.Begin())
		if len(h.Pieces) == 0 { // a part that is new starts when it is first asked for
			h.First = from
		}
		want := l.slowAhead(h, spans)
		for range 2 { // asking does not move the part
			got := track.Ahead(spans, nil)
			sameDistribution(t, got, want, 1e-9)
		}
	})
}

// TestLevelsCounts checks a round of expectation against all paths.
func TestLevelsCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawLevels(t)
		h := History{First: 24000, Pieces: rapid.SliceOfN(rapid.IntRange(Unknown, 3), 1, 5).Draw(t, "pieces")}
		got := l.counted([]History{h}, 1)
		want := newLevelCounts(l.States)
		var all float64
		l.paths(len(h.Pieces), func(path []int, p float64) {
			for i, y := range h.Pieces {
				p *= l.month(path[i], h.First+Month(i), y)
			}
			all += p
			want.first[path[0]] += p
			for i, k := range path {
				if i > 0 {
					want.move[path[i-1]*l.States+k] += p
				}
				m, y := h.First+Month(i), h.Pieces[i]
				for n := 0; n < 4 && y >= 0; n++ { // what the level would have brought in a busiest month
					e := l.Season.At(m) / l.Season.Peak()
					switch q := l.Brings[k*Outputs+n]; {
					case y == n && n > 0:
						want.brings[k*Outputs+n] += p
					case y == 0 && n == 0:
						want.brings[k*Outputs] += p * q / l.month(k, m, 0)
					case y == 0:
						want.brings[k*Outputs+n] += p * (1 - e) * q / l.month(k, m, 0)
					}
				}
			}
		})
		same := func(what string, got, want []float64) {
			for i := range want {
				if math.Abs(got[i]-want[i]/all) > 1e-9 {
					t.Fatalf("%s %d is %g, want %g", what, i, got[i], want[i]/all)
				}
			}
		}
		same("starts", got.first, want.first)
		same("moves", got.move, want.move)
		same("outputs", got.brings, want.brings)
		if math.Abs(got.logLikelihood-math.Log(all)) > 1e-9 {
			t.Fatalf("log likelihood %g, want %g", got.logLikelihood, math.Log(all))
		}
	})
}

// TestLevelsClimb: no round of expectation and maximisation lowers likelihood
// times prior.
func TestLevelsClimb(t *testing.T) {
	parts := invented(40, 24)
	l := startingLevels(parts, Season{})
	prior := l.priorCounts()
	before := math.Inf(-1)
	for range 6 {
		c := l.counted(parts, 2)
		at := c.logLikelihood
		for _, x := range [][2][]float64{{prior.first, l.First}, {prior.move, l.Move}, {prior.brings, l.Brings}} {
			for i, n := range x[0] {
				at += n * math.Log(x[1][i])
			}
		}
		if at < before-1e-6 {
			t.Fatalf("likelihood times prior fell from %g to %g", before, at)
		}
		before = at
		c.add(prior)
		l = c.levels(Season{})
	}
}

// TestLevelsRecover: parts that are used often or hardly ever and now and then
// change are told apart.
func TestLevelsRecover(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	chance := []float64{0.02, 0.7}
	parts := make([]History, 200)
	for i := range parts {
		parts[i] = History{Part: string(rune('a'+i%26)) + string(rune('a'+i/26)), First: 24000}
		k := r.IntN(2)
		for range 48 {
			if r.Float64() < 0.05 {
				k = 1 - k
			}
			y := 0
			if r.Float64() < chance[k] {
				y = 2
			}
			parts[i].Pieces = append(parts[i].Pieces, y)
		}
	}
	l := FitLevels(parts, Season{}, 2)
	for _, x := range []struct {
		pieces  []int
		chance  float64 // by Bayes' rule, from the two levels and a change in 20
		between float64
	}{
		{make([]int, 24), 0.02 + 0.68*0.057, 0.02},
		{[]int{2, 2, 0, 2, 2, 2, 2, 0, 2, 2, 2, 2}, 0.7 - 0.68*0.05, 0.04},
	} {
		h := History{First: 24000, Pieces: x.pieces}
		d := h.through(l.Begin()).Ahead(WholeMonths(h.Last()+1, 1), nil)
		near(t, "chance of a use", 1-d.At(0), x.chance, x.between)
		if odd := d.At(1) / (1 - d.At(0)); odd > 0.02 {
			t.Errorf("parts used in pairs are used singly with chance %g", odd)
		}
	}
}

func TestSampleByName(t *testing.T) {
	parts := invented(50, 3)
	some := sample(parts, 20)
	backwards := make([]History, len(parts))
	for i := range parts {
		backwards[len(parts)-1-i] = parts[i]
	}
	again := sample(backwards, 20)
	if len(some) != 20 {
		t.Fatalf("%d parts", len(some))
	}
	for i := range some {
		if some[i].Part != again[i].Part {
			t.Fatalf("part %d is %s, from the other end %s", i, some[i].Part, again[i].Part)
		}
	}
}
