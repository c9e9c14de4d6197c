package learn

import (
	"math"
	"slices"
)

// slope is a function of some logarithms and its derivatives at one place: the
// matrix of second derivatives is diag + z rank rank', a diagonal plus a matrix
// of rank one, so that a Newton step costs no more than the gradient does
// (Minka 2000).
type slope struct {
	value            float64
	grad, diag, rank []float64
	z                float64
	stop             bool // it is no use to go on from here
}

func newSlope(n int) *slope {
	all := make([]float64, 3*n)
	return &slope{grad: all[:n:n], diag: all[n : 2*n : 2*n], rank: all[2*n:]}
}

// Limits of a climb: the longest step in a logarithm, the step that is the last
// (its error is of the size of its square), and how many steps it takes at most.
const (
	longestStep = 3
	arrived     = 1e-6
	mostSteps   = 200
)

// climb moves x, within low and high, to a place where the function is highest
// nearby, by Newton steps. Where the function does not bend downwards, or a
// step would lose, the step is damped towards a short one along the gradient
// (Levenberg 1944; Nocedal and Wright 2006, Numerical Optimization, section
// 3.4), so that every step gains. It returns the slope there and the steps.
func climb(at func(x []float64, s *slope), x, low, high []float64) (*slope, int) {
	here, there := newSlope(len(x)), newSlope(len(x))
	step, next := make([]float64, len(x)), make([]float64, len(x))
	at(x, here)
	damp := 0.0
	for n := 1; n <= mostSteps; n++ {
		if here.stop {
			return here, n
		}
		here.freeze(x, low, high)
		for {
			gain, ok := here.newton(step, damp)
			if ok {
				length := 0.0
				for i := range x {
					next[i] = min(high[i], max(low[i], x[i]+step[i]))
					length = max(length, math.Abs(next[i]-x[i]))
				}
				at(next, there)
				// What a step gains close to the top drowns in rounding; the
				// gradient, which made the step, does not.
				noise := 1e-11 * (1 + math.Abs(here.value))
				if there.value >= here.value+1e-4*gain-noise {
					copy(x, next)
					here, there = there, here
					damp /= 16
					if length < arrived {
						return here, n
					}
					break
				}
			}
			if damp = max(8*damp, 1e-3*(1+here.steepest())); damp > 1e12 {
				return here, n
			}
		}
	}
	return here, mostSteps
}

// climbAll climbs from some of several places, ordered along the way that tops
// are thought to lie: from those as high as the places before and after. It
// returns the highest place reached, its slope and the steps there. The evidence
// may have more than one top: groups that are all alike but for a few small ones
// have one where groups differ and one where they do not.
func climbAll(at func(x []float64, s *slope), starts [][]float64, low, high []float64) (x []float64, top *slope, steps int) {
	s := newSlope(len(low))
	heights := make([]float64, len(starts))
	for i, start := range starts {
		at(start, s)
		heights[i] = s.value
	}
	for i, start := range starts {
		if i > 0 && heights[i-1] > heights[i] || i+1 < len(starts) && heights[i+1] > heights[i] {
			continue
		}
		if s, n := climb(at, start, low, high); top == nil || s.value > top.value {
			x, top, steps = start, s, n
		}
	}
	return x, top, steps
}

// probes are the concentrations that climbs start from, and a moment start
// among them.
func probes(moment float64) []float64 {
	list := []float64{0.3, 1, 3, 10, 30, 100, 300, 1000, min(1e4, max(0.1, moment))}
	slices.Sort(list)
	return list
}

// freeze takes out what lies at a bound and would go beyond.
func (s *slope) freeze(x, low, high []float64) {
	for i, g := range s.grad {
		if x[i] <= low[i] && g < 0 || x[i] >= high[i] && g > 0 {
			s.grad[i], s.diag[i], s.rank[i] = 0, -1, 0
		}
	}
}

// newton works out the step -(H - damp)^-1 grad by the Sherman-Morrison formula,
// shortened to longestStep, and what the gradient says that it gains. It is not
// ok when H - damp does not bend downwards all round.
func (s *slope) newton(step []float64, damp float64) (gain float64, ok bool) {
	var bend, along float64
	for i, d := range s.diag {
		if d -= damp; !(d < 0) {
			return 0, false
		}
		bend += s.rank[i] * s.rank[i] / d
		along += s.rank[i] * s.grad[i] / d
	}
	whole := 1 + s.z*bend
	if !(whole > 1e-14) {
		return 0, false
	}
	longest := 0.0
	for i, d := range s.diag {
		step[i] = (s.z*along/whole*s.rank[i] - s.grad[i]) / (d - damp)
		longest = max(longest, math.Abs(step[i]))
	}
	if shorten := longestStep / longest; shorten < 1 {
		for i := range step {
			step[i] *= shorten
		}
	}
	for i, g := range s.grad {
		gain += g * step[i]
	}
	return gain, true
}

// steepest is the largest entry of the gradient.
func (s *slope) steepest() float64 {
	most := 0.0
	for _, g := range s.grad {
		most = max(most, math.Abs(g))
	}
	return most
}
