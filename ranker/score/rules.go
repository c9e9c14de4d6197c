package score

import "math"

// mostBits is what a truth counts that was held impossible: a logarithm of
// nothing would swallow every other job.
const mostBits = 64

// LogLoss returns the bits of surprise at the truth, -log2 of the chance that
// the forecast gave it (Good 1952, J. R. Statist. Soc. B 14:107-114). 0 is
// perfect; 1 bit more is half the chance. It is 64 at most.
func LogLoss(forecast []float64, truth int) float64 {
	if p := forecast[truth]; p > 0 {
		return min(mostBits, max(0, -math.Log2(p)))
	}
	return mostBits
}

// Brier returns sum over k of (p_k - o_k)^2, where o is 1 for the truth and 0
// for the others: 0 is perfect, 2 the worst (Brier 1950, Monthly Weather Review
// 78:1-3). Of two classes it is twice the half-form that is common today.
func Brier(forecast []float64, truth int) float64 {
	var sum float64
	for k, p := range forecast {
		if k == truth {
			p = 1 - p
		}
		sum += p * p
	}
	return sum
}

// Place returns the place of the truth in the list of classes, the likeliest
// first: 1 when it is named first. Equal chances stand in the order of their
// indexes.
func Place(forecast []float64, truth int) int {
	place := 1
	for k, p := range forecast {
		if p > forecast[truth] || p == forecast[truth] && k < truth {
			place++
		}
	}
	return place
}

// first returns the class that is named first.
func first(forecast []float64) int {
	best := 0
	for k, p := range forecast {
		if p > forecast[best] {
			best = k
		}
	}
	return best
}
