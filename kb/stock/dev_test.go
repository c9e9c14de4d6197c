package stock

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"
	"time"
)

func devParts(t testing.TB) []History {
	f, err := os.Open("/work/shared/data/carparts-dev.csv")
	if err != nil {
		t.Skip("no")
	}
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	first, _ := ParseMonth(rows[0][1])
	var hs []History
	for _, r := range rows[1:] {
		h := History{Part: r[0], First: first}
		for _, c := range r[1:] {
			n, _ := strconv.Atoi(c)
			h.Pieces = append(h.Pieces, n)
		}
		hs = append(hs, h)
	}
	return hs
}

func cutAt(hs []History, o int) []History {
	out := make([]History, len(hs))
	for i := range hs {
		out[i] = hs[i].Until(hs[i].First + Month(o) - 1)
	}
	return out
}

func pb(q, f, y float64) float64 {
	if y < f {
		return (1 - q) * (f - y)
	}
	return q * (y - f)
}

type devScore struct{ pin, pin3, cov3, cov1, n, n3, f, a float64 }

func (s *devScore) String() string {
	return fmt.Sprintf("pin %.4f pin3 %.4f cov1 %.4f cov3 %.4f f/a %.3f", s.pin/s.n, s.pin3/s.n3, s.cov1/s.n, s.cov3/s.n3, s.f/s.a)
}

func (s *devScore) add(one, three Distribution, fut []int) {
	for _, q := range []float64{.5, .9, .95} {
		f := float64(one.Quantile(q))
		for _, y := range fut {
			s.pin += pb(q, f, float64(y)) / 3
		}
		g := float64(three.Quantile(q))
		s.pin3 += pb(q, g, float64(fut[0]+fut[1]+fut[2])) / 3
	}
	for _, y := range fut {
		if y <= one.Quantile(.9) {
			s.cov1++
		}
		s.a += float64(y)
	}
	s.f += one.Mean() * float64(len(fut))
	if fut[0]+fut[1]+fut[2] <= three.Quantile(.9) {
		s.cov3++
	}
	s.n += float64(len(fut))
	s.n3++
}

func TestDev(t *testing.T) {
	if os.Getenv("DEV") == "" {
		t.Skip()
	}
	hs := devParts(t)
	for _, os := range [][]int{{30, 33, 36, 39}, {45}} {
		sc := map[string]*devScore{}
		var names []string
		for _, o := range os {
			c := cutAt(hs, o)
			t0 := time.Now()
			lv := FitLevels(c, Season{}, 2)
			fmt.Println(o, "levels fit", time.Since(t0))
			p := Dispersion{1, math.Inf(1)}
			v := Dispersion{1.8, 3}
			ms := map[string]Method{
				"croston pois": Croston{Size: .1, Interval: .1, Dispersion: p},
				"sba pois":     Croston{Size: .1, Interval: .1, Correction: SyntetosBoylan, Dispersion: p},
				"tsb pois":     TSB{.1, .1, p},
				"ses pois":     Smoothing{.1, p},
				"seas pois":    SeasonalMean{p},
				"croston v":    Croston{Size: .1, Interval: .1, Dispersion: v},
				"sba v":        Croston{Size: .1, Interval: .1, Correction: SyntetosBoylan, Dispersion: v},
				"tsb v":        TSB{.1, .1, v},
				"ses v":        Smoothing{.1, v},
				"ses v .2":     Smoothing{.2, v},
				"seas v":       SeasonalMean{v},
				"nb.9":         Discounted{.9, .4, 1, Season{}},
				"pooled":       &Pooled{.85, 3, NewMonthlyMean(c, Season{}, .85), Dispersion{2, 4}, Season{}},
				"levels":       lv,
			}
			for name, m := range ms {
				s := sc[name]
				if s == nil {
					s = &devScore{}
					sc[name] = s
					names = append(names, name)
				}
				t0 := time.Now()
				for i := range c {
					tr := c[i].through(m.Begin())
					one := tr.Ahead(WholeMonths(c[i].Last()+1, 1), nil)
					three := tr.Ahead(WholeMonths(c[i].Last()+1, 3), nil)
					s.add(one, three, hs[i].Pieces[o:min(51, o+6)])
				}
				if o == 45 {
					fmt.Println(name, time.Since(t0)/time.Duration(len(c)))
				}
			}
		}
		for _, n := range names {
			fmt.Printf("%-14s %s\n", n, sc[n])
		}
	}
}
