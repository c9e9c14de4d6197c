package stock

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// directly adds up every number of uses, each with its pieces convolved: what
// Compound must give, slowly.
func directly(uses, pieces Distribution) Distribution {
	sum := make(Distribution, len(uses)*len(pieces)+1)
	one := Certain(0)
	for n, p := range uses {
		if n > 0 {
			one = plainPlus(one, pieces)
		}
		for k, q := range one {
			sum[k] += p * q
		}
	}
	return sum
}

func plainPlus(a, b Distribution) Distribution {
	sum := make(Distribution, len(a)+len(b)-1)
	for i, p := range a {
		for j, q := range b {
			sum[i+j] += p * q
		}
	}
	return sum
}

func drawPieces(t *rapid.T) Distribution {
	d := make(Distribution, rapid.IntRange(1, 5).Draw(t, "most")+1)
	for n := range d {
		d[n] = rapid.Float64Range(0, 1).Draw(t, "weight")
	}
	d[len(d)-1] += 0.01
	return d.normalised()
}

func drawUses(t *rapid.T, most float64) Uses {
	shape := rapid.OneOf(rapid.Float64Range(0.1, 50), rapid.Just(math.Inf(1)))
	return Uses{shape.Draw(t, "shape"), rapid.Float64Range(0, most).Draw(t, "mean")}
}

func sameDistribution(t *rapid.T, got, want Distribution, tolerance float64) {
	t.Helper()
	for n := range max(len(got), len(want)) {
		if math.Abs(got.At(n)-want.At(n)) > tolerance {
			t.Fatalf("chance of %d is %g, want %g", n, got.At(n), want.At(n))
		}
	}
}

func TestCompoundIsConvolution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, pieces := drawUses(t, 8), drawPieces(t)
		sameDistribution(t, Compound(u, pieces), directly(u.Distribution(), pieces), 1e-10)
	})
}

// TestCompoundLogarithmic: Poisson many uses of logarithmically distributed
// pieces are a negative binomial number of pieces (Quenouille 1949).
func TestCompoundLogarithmic(t *testing.T) {
	for _, x := range []struct{ r, q float64 }{{0.5, 0.3}, {2, 0.5}, {7, 0.8}, {40, 0.9}, {900, 0.6}} {
		pieces := Distribution{0}
		for n := 1; n < 4000; n++ {
			pieces = append(pieces, -math.Pow(x.q, float64(n))/float64(n)/math.Log1p(-x.q))
		}
		got := Compound(Uses{math.Inf(1), -x.r * math.Log1p(-x.q)}, pieces)
		want := NegativeBinomial(x.r, x.r*x.q/(1-x.q))
		for n := range want {
			if math.Abs(got.At(n)-want.At(n)) > 1e-10 {
				t.Fatalf("r %g, q %g: chance of %d is %g, want %g", x.r, x.q, n, got.At(n), want.At(n))
			}
		}
	}
}

// TestCompoundMoments: mean and variance of a compound sum, also where g(0)
// would underflow.
func TestCompoundMoments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, pieces := drawUses(t, 3000), drawPieces(t)
		d := Compound(u, pieces)
		mean := u.Mean * pieces.Mean()
		variance := u.Mean * (pieces.SD()*pieces.SD() + pieces.Mean()*pieces.Mean())
		if !math.IsInf(u.Shape, 1) {
			variance += mean * mean / u.Shape
		}
		if math.Abs(d.Mean()-mean) > 1e-6*(1+mean) {
			t.Fatalf("mean %g, want %g", d.Mean(), mean)
		}
		if math.Abs(d.SD()-math.Sqrt(variance)) > 1e-5*(1+math.Sqrt(variance)) {
			t.Fatalf("deviation %g, want %g", d.SD(), math.Sqrt(variance))
		}
	})
}

func TestDistributionLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Compound(drawUses(t, 30), drawPieces(t))
		var sum float64
		for _, p := range d {
			if p < 0 {
				t.Fatal("a chance below 0")
			}
			sum += p
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Fatalf("chances sum to %.15g", sum)
		}
		p := rapid.Float64Range(0.01, 0.999).Draw(t, "p")
		q := d.Quantile(p)
		if d.CDF(q) < p-1e-9 || d.CDF(q-1) > p+1e-9 {
			t.Fatalf("quantile %g is %d: at most that has chance %g, one less %g", p, q, d.CDF(q), d.CDF(q-1))
		}
		n := rapid.IntRange(0, 60).Draw(t, "n")
		var short, left float64
		for k, c := range d {
			short += c * math.Max(0, float64(k-n))
			left += c * math.Max(0, float64(n-k))
		}
		if math.Abs(d.Short(n)-short) > 1e-9 || math.Abs(d.Left(n)-left) > 1e-9 {
			t.Fatalf("short %g and left %g, want %g and %g", d.Short(n), d.Left(n), short, left)
		}
	})
}

// TestLeadTime: mean and deviation come back up to the rounding to days, and
// mixing the demand over it is the demand mixed by hand.
func TestLeadTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mean := rapid.Float64Range(1, 60).Draw(t, "mean")
		sd := rapid.Float64Range(0, mean).Draw(t, "sd")
		l := NewLeadTime(mean, sd)
		if math.Abs(l.Mean()-mean) > 1 || math.Abs(l.SD()-sd) > 1 {
			t.Fatalf("%g +- %g days, want %g +- %g", l.Mean(), l.SD(), mean, sd)
		}
		rate := rapid.Float64Range(0, 0.5).Draw(t, "rate")
		review := rapid.IntRange(0, 30).Draw(t, "review")
		d := OverLeadTime(l, review, func(days int) Distribution { return Poisson(rate * float64(days)) })
		if want := rate * (l.Mean() + float64(review)); math.Abs(d.Mean()-want) > 1e-6 {
			t.Fatalf("mean demand %g, want %g", d.Mean(), want)
		}
	})
	if l := NewLeadTime(0, 3); l.CDF(0) != 1 {
		t.Error("a mean of 0 is no lead time")
	}
	if l := NewLeadTime(2.5, 0); l.At(3) != 1 {
		t.Error("a certain lead time is rounded upwards")
	}
}

// TestService: with pieces wanted one at a time, the share of the time with
// something there is the share of the pieces served (Wolff 1982); measures rise
// with the reorder point; the fill rate of batches counted use by use.
func TestService(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lead := Poisson(rapid.Float64Range(0, 20).Draw(t, "demand"))
		r, q := rapid.IntRange(-1, 30).Draw(t, "reorder"), rapid.IntRange(1, 12).Draw(t, "quantity")
		s := NewService(lead, Certain(1), r, q)
		if math.Abs(s.Ready-s.Fill) > 1e-12 {
			t.Fatalf("ready %g, fill %g", s.Ready, s.Fill)
		}
		want := 1 - (lead.Short(r)-lead.Short(r+q))/float64(q)
		if math.Abs(s.Fill-want) > 1e-9 {
			t.Fatalf("fill %g, want %g", s.Fill, want)
		}
		pieces := drawPieces(t)
		more, less := NewService(lead, pieces, r+1, q), NewService(lead, pieces, r, q)
		if more.Cycle < less.Cycle-1e-12 || more.Ready < less.Ready-1e-12 || more.Fill < less.Fill-1e-12 {
			t.Fatalf("%+v at %d, %+v at %d", less, r, more, r+1)
		}
		if less.Fill < 0 || less.Fill > 1+1e-12 {
			t.Fatalf("fill %g", less.Fill)
		}
	})
}

// TestOptimalRQ: against every policy tried.
func TestOptimalRQ(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(0.2, 6).Draw(t, "rate")
		lead := Poisson(rate * rapid.Float64Range(0.1, 3).Draw(t, "lead"))
		holding, penalty := rapid.Float64Range(0.1, 5).Draw(t, "holding"), rapid.Float64Range(1, 100).Draw(t, "penalty")
		order := rapid.Float64Range(0, 50).Draw(t, "order")
		cost := Backordered(lead, holding, penalty)
		if rapid.Bool().Draw(t, "paid once") {
			cost = PaidOnce(lead, holding, penalty, rate)
		}
		const most = 40
		got := OptimalRQ(order, rate, most, len(lead), cost)
		for r := -most; r <= len(lead); r++ {
			sum := order * rate
			for q := 1; q <= most; q++ {
				sum += cost(r + q)
				if sum/float64(q) < got.Cost-1e-9*(1+got.Cost) {
					t.Fatalf("%d at %d costs %g, found %+v", q, r, sum/float64(q), got)
				}
			}
		}
	})
}
