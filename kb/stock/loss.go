package stock

import "math"

// Short returns the expected number of pieces missing when d pieces are wanted
// and n are there: E(d - n)+, the loss function.
func (d Distribution) Short(n int) float64 {
	var sum float64
	for k := max(0, n+1); k < len(d); k++ {
		sum += float64(k-n) * d[k]
	}
	if n < 0 { // all pieces are missing, and those owed already
		return d.Mean() - float64(n)
	}
	return sum
}

// Left returns the expected number of pieces left over: E(n - d)+, the
// complementary loss function.
func (d Distribution) Left(n int) float64 { return max(0, float64(n)-d.Mean()+d.Short(n)) }

// NormalLoss is the standard loss function L(z) = phi(z) - z (1 - Phi(z)): the
// expected shortage in standard deviations when demand is normal and the stock
// lies z standard deviations above its mean.
func NormalLoss(z float64) float64 {
	return math.Exp(-z*z/2)/math.Sqrt(2*math.Pi) - z*math.Erfc(z/math.Sqrt2)/2
}
