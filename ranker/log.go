package ranker

import "math"

// The ranking takes about a hundred thousand logarithms, and a table-driven one
// (Tang 1990, ACM TOMS 16:378-400) takes a third of math.Log's time. A positive
// normal x is 2^e * m with m in [1, 2); with c the middle of the one of 256
// cells that m lies in, r = m/c - 1 is below 2^-9 and
// ln x = e ln 2 + ln c + r - r^2/2 + r^3/3 - r^4/4 + r^5/5, short by less than
// r^6/6 < 1e-17. The result is good to about 4e-16 absolute near 1 and to the
// last few places elsewhere.
const logCells = 256

var logTable = func() (t [logCells]struct{ inverse, ln float64 }) {
	for i := range t {
		c := 1 + (float64(i)+0.5)/logCells
		t[i].inverse = 1 / c
		t[i].ln = math.Log(c)
	}
	return t
}()

// ln returns the natural logarithm of a positive x; tiny values below the
// normal range and everything that is not a positive number go to math.Log.
func ln(x float64) float64 {
	bits := math.Float64bits(x)
	exp := int(bits >> 52)
	if exp == 0 || exp >= 0x7ff {
		return math.Log(x)
	}
	cell := &logTable[bits>>44&(logCells-1)]
	m := math.Float64frombits(bits&(1<<52-1) | 0x3ff<<52)
	r := m*cell.inverse - 1
	r2 := r * r
	return float64(exp-0x3ff)*math.Ln2 + cell.ln + (r - r2*(0.5-r*(1.0/3)+r2*(0.25-r*0.2)))
}

// xlogx returns q ln q, 0 at q = 0.
func xlogx(q float64) float64 {
	if q <= 0 {
		return 0
	}
	return q * ln(q)
}
