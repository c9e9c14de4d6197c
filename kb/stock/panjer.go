package stock

import "math"

// Uses is the distribution of how often a part is used in some time: Poisson
// with a rate that is Gamma with the given Shape, so a negative binomial with
// that shape and Mean. An infinite shape is a rate known for certain: Poisson.
type Uses struct{ Shape, Mean float64 }

// Distribution returns how many uses there are.
func (u Uses) Distribution() Distribution { return NegativeBinomial(u.Shape, u.Mean) }

// Compound returns the distribution of the pieces taken by a number of uses,
// each of which takes pieces on its own by the given distribution, by Panjer's
// recursion (Panjer 1981, ASTIN Bulletin 12:22-26): with p(n)/p(n-1) = a + b/n
// for the uses and f for the pieces,
//
//	g(0) = PGF_uses(f(0))
//	g(s) = 1/(1 - a f(0)) sum_{j=1..s} (a + b j/s) f(j) g(s-j)
//
// Poisson has a = 0, b = mean; the negative binomial a = mean/(shape+mean),
// b = a (shape-1). Where g(0) would underflow, the uses are halved as often as
// needed and the parts added up, which is exact as well: both kinds of uses are
// infinitely divisible.
func Compound(u Uses, pieces Distribution) Distribution {
	if !(u.Mean > 0) || pieces.CDF(0) >= 1 {
		return Certain(0)
	}
	// Uses that take nothing are no uses: f(0) = 0 makes the recursion plain. A
	// thinned Poisson is Poisson, a thinned negative binomial keeps its shape.
	if none := pieces.At(0); none > 0 {
		u.Mean *= 1 - none
		taken := make(Distribution, len(pieces))
		copy(taken[1:], pieces[1:])
		pieces = taken.normalised()
	}
	if len(pieces) == 2 { // one piece each: no recursion is needed
		return NegativeBinomial(u.Shape, u.Mean)
	}
	return compound(u, pieces)
}

// leastStart is the least logarithm of g(0) from which the recursion is run.
const leastStart = -600

func compound(u Uses, f Distribution) Distribution {
	var a, b, logZero float64
	if math.IsInf(u.Shape, 1) {
		b, logZero = u.Mean, -u.Mean
	} else {
		a = u.Mean / (u.Shape + u.Mean)
		b = a * (u.Shape - 1)
		logZero = u.Shape * math.Log1p(-a)
	}
	if logZero < leastStart {
		half := compound(Uses{u.Shape / 2, u.Mean / 2}, f)
		return half.Plus(half)
	}
	var taken []int // numbers of pieces that are taken at all: mostly a few
	for j, p := range f {
		if j > 0 && p > 0 {
			taken = append(taken, j)
		}
	}
	end := u.farthest(f)
	g := make(Distribution, 1, end+1)
	g[0] = math.Exp(logZero)
	for s := 1; s <= end; s++ {
		var plain, rising float64
		for _, j := range taken {
			if j > s {
				break
			}
			x := f[j] * g[s-j]
			plain += x
			rising += float64(j) * x
		}
		g = append(g, max(0, a*plain+b/float64(s)*rising))
	}
	return g.normalised().trimmed()
}

// farthest is a number of pieces beyond which less than tailMass of the
// compound sum lies: where the uses end, times the most pieces of one use, or
// where the mean and many standard deviations say, whichever is less.
func (u Uses) farthest(f Distribution) int {
	uses := len(u.Distribution()) - 1
	most := uses * (len(f) - 1)
	mean := u.Mean * f.Mean()
	second := f.SD()*f.SD() + f.Mean()*f.Mean()
	variance := u.Mean * second
	if !math.IsInf(u.Shape, 1) {
		variance += mean * mean / u.Shape
	}
	const deviations = 60 // the tail is about geometric: tailMass is 28 folds of e
	return min(most, int(mean+deviations*math.Sqrt(variance))+len(f)+40)
}
