package learn

import "math"

// nig is a normal-inverse-gamma distribution of the mean and the variance of a
// normal variable: the variance is inverse-gamma with shape alpha and rate beta,
// the mean is normal around mu with 1/kappa of the variance. It is conjugate
// (Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3; Murphy 2007,
// Conjugate Bayesian analysis of the Gaussian distribution, section 6). Kappa
// is how many observations the mean is worth. Of alpha is kept what it has above
// 1, so that jobs which hardly weigh anything any more keep their digits.
type nig struct{ mu, kappa, above, beta float64 }

// after is the distribution after n observations (which may be a sum of weights)
// with a mean, and with a variance in the sense of the mean squared distance
// from that mean.
func (p nig) after(n, mean, variance float64) nig {
	if !(n > 0) {
		return p
	}
	d := mean - p.mu
	kappa := p.kappa + n
	return nig{
		mu:    p.mu + d*n/kappa,
		kappa: kappa,
		above: p.above + n/2,
		beta:  p.beta + n*variance/2 + d*d*p.kappa*n/(2*kappa),
	}
}

// variance is the expected variance, beta / (alpha - 1), for an alpha above 1.
func (p nig) variance() float64 { return p.beta / p.above }

// minutesSpread is the coefficient of variation of minutes that a base's authored
// minutes stand for: two thirds of the times it takes 0.56 to 1.43 times as
// long. An estimate; the spread is learned with the minutes.
const minutesSpread = 0.5

// startMinutes is the prior of the logarithm of minutes whose authored mean is
// given, worth a number of jobs: a log-normal variable with coefficient of
// variation c has the variance s2 = ln(1 + c^2) of its logarithm, and the mean
// exp(mu + s2/2). The inverse gamma is such that the variance expected is s2,
// and that it weighs as much as that many observations.
func startMinutes(mean, jobs float64) nig {
	s2 := math.Log1p(minutesSpread * minutesSpread)
	return nig{mu: math.Log(mean) - s2/2, kappa: jobs, above: jobs / 2, beta: s2 * jobs / 2}
}

// expected is the mean of the minutes learned: those that start at an authored
// mean worth a number of jobs. It is the mean of the log-normal distribution
// with the expected mean and the expected variance of the logarithm put in,
// exp(mu + E[variance]/2). The exact mean of what the next job takes does not
// exist: with the variance unknown it is log-t, whose tails are too heavy for
// any mean; but the mean of the next job is asked for by adding up minutes, and
// no job takes for ever. Without a stated duration it is the authored mean.
func (m LogMinutes) expected(mean, jobs, scale float64) float64 {
	n, x, v := m.at(scale)
	if !(n > 0) || !(mean > 0) {
		return mean
	}
	p := startMinutes(mean, jobs).after(n, x, v)
	return min(max(math.Exp(p.mu+p.variance()/2), leastMinutes), mostMinutes)
}

// at is what the durations weigh now, each at most 1, and the mean and variance
// of their logarithms.
func (m LogMinutes) at(scale float64) (n, mean, variance float64) {
	if m.Jobs <= 0 || !(m.Weight > 0) {
		return 0, 0, 0
	}
	mean = min(max(m.Sum/m.Weight, math.Log(leastMinutes)), math.Log(mostMinutes))
	most := math.Log(mostMinutes) - math.Log(leastMinutes)
	variance = min(max(m.Squares/m.Weight-mean*mean, 0), most*most)
	return min(m.Weight*scale, float64(m.Jobs)), mean, variance
}
