package learn

import "math"

// rises are counts n that G(x+n)/G(x) is wanted of, G being the gamma function.
// For whole n that is x(x+1)...(x+n-1): of the small whole counts it is enough
// to know how many are above 0, above 1 and so on.
type rises struct {
	above []float64 // by j: how many small whole counts are above j
	other []float64
}

// few is up to which whole count the products are quicker.
const few = 24

// newRises sorts counts; those of 0 are left out.
func newRises(counts []float64) rises {
	var most, others int
	small := func(n float64) bool { return n <= few && n == math.Trunc(n) }
	for _, n := range counts {
		switch {
		case n <= 0:
		case small(n):
			most = max(most, int(n))
		default:
			others++
		}
	}
	r := rises{above: make([]float64, most), other: make([]float64, 0, others)}
	for _, n := range counts {
		switch {
		case n <= 0:
		case small(n):
			for j := range int(n) {
				r.above[j]++
			}
		default:
			r.other = append(r.other, n)
		}
	}
	return r
}

// none tells that there were no counts.
func (r *rises) none() bool { return len(r.above) == 0 && len(r.other) == 0 }

// sum adds up over the counts n the logarithm of G(x+n)/G(x) and its first two
// derivatives in x. At x = 0 any count gives -Inf and infinite derivatives.
func (r *rises) sum(x float64) (l, d1, d2 float64) {
	if r.none() {
		return 0, 0, 0
	}
	if !(x > 0) {
		return math.Inf(-1), math.Inf(1), math.Inf(-1)
	}
	for j, times := range r.above {
		v := x + float64(j)
		one := 1 / v
		l += times * math.Log(v)
		d1 += times * one
		d2 -= times * one * one
	}
	if len(r.other) == 0 {
		return l, d1, d2
	}
	low := gammaAt(x)
	logLow := math.Log(low.at)
	for _, by := range r.other {
		high := gammaAt(x + by)
		// (y - 1/2) ln y - (x - 1/2) ln x - (y - x), written so that nothing is
		// lost when x is large and by is not.
		d := high.at - low.at
		ratio := math.Log1p(d / low.at)
		l += (high.at-0.5)*ratio + d*(logLow-1) + high.rest - low.rest
		if high.product != low.product {
			l += math.Log(low.product / high.product)
		}
		d1 += ratio + high.psi - low.psi
		d2 += high.psi1 - low.psi1
	}
	return l, d1, d2
}

// gammaParts are what the gamma function and its logarithmic derivatives are
// put together from:
//
//	ln G(x) = (at-1/2) ln at - at + ln(2 pi)/2 + rest - ln product
//	psi(x)  = ln at + psi,   psi'(x) = psi1
type gammaParts struct{ at, rest, psi, psi1, product float64 }

// far is from where on the asymptotic series below are exact to 1e-15.
const far = 8

// gammaAt works out the parts for x > 0: by G(x+1) = x G(x) and its derivatives
// up to far, then by Stirling's series (Abramowitz and Stegun 1964, Handbook of
// Mathematical Functions, 6.1.15, 6.1.40, 6.3.5, 6.3.18, 6.4.6 and 6.4.12).
func gammaAt(x float64) gammaParts {
	p := gammaParts{at: x, product: 1}
	for p.at < far {
		v := 1 / p.at
		p.product *= p.at
		p.psi -= v
		p.psi1 += v * v
		p.at++
	}
	v := 1 / p.at
	w := v * v
	p.rest = v * (1./12 - w*(1./360-w*(1./1260-w*(1./1680-w*(1./1188-w*(691./360360-w*(1./156)))))))
	p.psi -= v/2 + w*(1./12-w*(1./120-w*(1./252-w*(1./240-w*(1./132-w*(691./32760-w*(1./12)))))))
	p.psi1 += v + w/2 + w*v*(1./6-w*(1./30-w*(1./42-w*(1./30-w*(5./66-w*(691./2730-w*(7./6)))))))
	return p
}

// digamma and trigamma are the first and second derivative of ln G(x), x > 0.
func digamma(x float64) (psi, psi1 float64) {
	p := gammaAt(x)
	return math.Log(p.at) + p.psi, p.psi1
}
