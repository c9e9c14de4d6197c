package kb

import (
	"fmt"
	"math"
	"slices"
)

// Weights returns how much a finding weighs each outcome of its observable:
// 1 for the outcome seen, the chances a person gave, or for a reading r with
// standard error s the Gaussian mass of each outcome's range,
// Phi((hi-r)/s) - Phi((lo-r)/s): uncertain evidence (Pearl 1988, section 2.2.2).
func (o *Observable) Weights(f *Finding) ([]float64, error) {
	w := make([]float64, len(o.Outcomes))
	switch {
	case f.Reading != nil:
		if o.Ranges == nil {
			return nil, fmt.Errorf("%s %q takes no reading; give one of its outcomes: %v", o.Kind, o.ID, o.Outcomes)
		}
		s := o.Tolerance.StandardError(*f.Reading)
		for j, r := range o.Ranges {
			w[j] = gaussianMass(r.From, r.To, *f.Reading, s)
		}
	case f.Weights != nil:
		for out, p := range f.Weights {
			j := slices.Index(o.Outcomes, out)
			if j < 0 {
				return nil, UnknownID("outcome of "+o.ID, out, o.Outcomes)
			}
			w[j] = p
		}
	default:
		j := slices.Index(o.Outcomes, f.Outcome)
		if j < 0 {
			return nil, UnknownID("outcome of "+o.ID, f.Outcome, o.Outcomes)
		}
		w[j] = 1
	}
	var sum float64
	for _, v := range w {
		sum += v
	}
	if !(sum > 0) {
		return nil, fmt.Errorf("%s %q: the reading lies in none of its outcomes", o.Kind, o.ID)
	}
	return w, nil
}

// gaussianMass is the probability that a normal variable with mean r and
// standard deviation s lies in (lo, hi]; with s = 0 all of it lies at r.
func gaussianMass(lo, hi, r, s float64) float64 {
	if s <= 0 {
		if lo < r && r <= hi {
			return 1
		}
		return 0
	}
	a, b := (lo-r)/s, (hi-r)/s
	if a > 0 { // the upper tail keeps its digits through the complement
		return 0.5 * (math.Erfc(a/math.Sqrt2) - math.Erfc(b/math.Sqrt2))
	}
	return 0.5 * (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2))
}
