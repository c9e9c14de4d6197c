package index

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// TestSurprisePublished compares with the figures of Dunning's paper and of a
// reference library, in testdata/published/text-statistics.json with their
// sources.
func TestSurprisePublished(t *testing.T) {
	text, err := os.ReadFile("../testdata/published/text-statistics.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		ID, Source string
		Inputs     struct{ Rows [][4]int }
		Expected   struct {
			Surprise  []float64
			Tolerance float64
		}
	}
	if err := json.Unmarshal(text, &list); err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, v := range list {
		for i, k := range v.Inputs.Rows {
			want := v.Expected.Surprise[i]
			if got := surprise(k[0], k[0]+k[1], k[2], k[2]+k[3]); math.Abs(got-want) > v.Expected.Tolerance {
				t.Errorf("%s: surprise of %v is %.6f, published %g", v.ID, k, got, want)
			}
			compared++
		}
	}
	if compared != 16 {
		t.Errorf("%d figures compared, want 16", compared)
	}
}

// TestOutstandingLevel compares the level from which a word stands out with the
// quantile of chi squared with one degree of freedom (gonum).
func TestOutstandingLevel(t *testing.T) {
	if q := (distuv.ChiSquared{K: 1}).Quantile(0.9999); math.Abs(q-outstandingFrom) > 0.01 {
		t.Errorf("the quantile for one in ten thousand is %.4f, outstandingFrom %g", q, outstandingFrom)
	}
}

// TestSurpriseLaws: nothing is surprising in equal shares, the two kinds may be
// exchanged, and the figure is twice the total times the mutual information (in
// nats) of holding the word and kind of text.
func TestSurpriseLaws(t *testing.T) {
	n := rapid.IntRange(0, 2000)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := n.Draw(t, "a"), n.Draw(t, "b"), n.Draw(t, "c"), n.Draw(t, "d")
		s := surprise(a, a+b, c, c+d)
		if other := surprise(c, c+d, a, a+b); math.Abs(s-other) > 1e-9*max(1, s) {
			t.Errorf("%g, exchanged %g", s, other)
		}
		if k := rapid.IntRange(1, 9).Draw(t, "k"); surprise(a, a+b, k*a, k*(a+b)) > 1e-9 {
			t.Errorf("equal shares surprise by %g", surprise(a, a+b, k*a, k*(a+b)))
		}
		h := func(counts ...int) (bits float64) {
			total := 0
			for _, k := range counts {
				total += k
			}
			for _, k := range counts {
				if k > 0 {
					bits -= float64(k) * math.Log(float64(k)/float64(total))
				}
			}
			return bits
		}
		if want := 2 * (h(a+b, c+d) + h(a+c, b+d) - h(a, b, c, d)); math.Abs(s-want) > 1e-7*max(1, want) {
			t.Errorf("%g, by entropies %g", s, want)
		}
	})
}
