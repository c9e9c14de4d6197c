package stock

import "math"

// CriticalRatio is the chance of meeting all demand at which one more piece is
// worth just what it costs: shortage / (shortage + holding), both for one piece
// and one period (Arrow, Harris and Marschak 1951).
func CriticalRatio(holding, shortage float64) float64 { return shortage / (shortage + holding) }

// Newsvendor returns the stock that costs least for one period of demand, the
// critical ratio's quantile, and the expected cost of it: holding x what is
// left + shortage x what is missing.
func Newsvendor(d Distribution, holding, shortage float64) (stock int, cost float64) {
	stock = d.Quantile(CriticalRatio(holding, shortage))
	return stock, NewsvendorCost(d, holding, shortage, stock)
}

// NewsvendorCost is the expected cost of a period with n pieces in stock.
func NewsvendorCost(d Distribution, holding, shortage float64, n int) float64 {
	return holding*d.Left(n) + shortage*d.Short(n)
}

// NewsvendorNormal is Newsvendor for a normal demand.
func NewsvendorNormal(mean, sd, holding, shortage float64) (stock, cost float64) {
	z := normalQuantile(CriticalRatio(holding, shortage))
	return mean + z*sd, NewsvendorCostNormal(mean, sd, holding, shortage, mean+z*sd)
}

// NewsvendorCostNormal is the expected cost of a period with a stock of s.
func NewsvendorCostNormal(mean, sd, holding, shortage, s float64) float64 {
	missing := sd * NormalLoss((s-mean)/sd)
	return holding*(s-mean+missing) + shortage*missing
}

// normalQuantile is the quantile of the standard normal distribution.
func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// normalCDF is the standard normal distribution's.
func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
