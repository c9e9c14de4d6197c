package stock

import "math"

// Thinned returns the distribution of what is left of d when each piece is left
// out with chance 1-keep; for a keep above 1, what is there when as many again
// come as keep-1 says. Its mean is keep times that of d.
func (d Distribution) Thinned(keep float64) Distribution {
	return d.thinnedInto(nil, keep)
}

func (d Distribution) thinnedInto(buffer Distribution, keep float64) Distribution {
	switch {
	case keep == 1 || len(d) < 2:
		return append(buffer[:0], d...)
	case keep > 1:
		return d.Plus(d.Thinned(keep - 1))
	case !(keep > 0):
		return append(buffer[:0], 1)
	}
	left := Distribution(grow(buffer, len(d)))
	clear(left)
	none := 1.0 // (1-keep)^n
	for n, p := range d {
		if p > tailMass*tailMass {
			left[:n+1].addBinomial(p, n, keep, none)
		}
		none *= 1 - keep
	}
	return left.normalised().trimmed()
}

// leastFactor is the least number that a product is begun with: far below it
// numbers lose their digits.
const leastFactor = 1e-280

// addBinomial adds p times the chances of 0 to n of n pieces that each come with
// chance keep; none is the chance of 0.
func (d Distribution) addBinomial(p float64, n int, keep, none float64) {
	odds := keep / (1 - keep)
	if none > leastFactor {
		b := p * none
		for k := range d {
			d[k] += b
			b *= float64(n-k) / float64(k+1) * odds
		}
		return
	}
	// The chance of 0 all but vanishes: go out from the most likely number.
	mode := int(keep * float64(n+1))
	all, _ := math.Lgamma(float64(n) + 1)
	below, _ := math.Lgamma(float64(mode) + 1)
	above, _ := math.Lgamma(float64(n-mode) + 1)
	top := p * math.Exp(all-below-above+float64(mode)*math.Log(keep)+float64(n-mode)*math.Log1p(-keep))
	for b, k := top, mode; k <= n && b > 0; k++ {
		d[k] += b
		b *= float64(n-k) / float64(k+1) * odds
	}
	for b, k := top, mode; k > 0 && b > 0; k-- {
		b *= float64(k) / float64(n-k+1) / odds
		d[k-1] += b
	}
}
