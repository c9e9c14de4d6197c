package stock

import (
	"fmt"
	"math"
	"os"
	"testing"
)

func TestDisp(t *testing.T) {
	if os.Getenv("DEV") == "" {
		t.Skip()
	}
	hs := devParts(t)
	sc := map[string]*devScore{}
	var names []string
	for _, o := range []int{30, 33, 36, 39} {
		c := cutAt(hs, o)
		type nm struct {
			n string
			m Method
		}
		var ms []nm
		add := func(n string, m Method) { ms = append(ms, nm{n, m}) }
		for _, r := range []float64{1, 1.4, 1.8, 2.2} {
			for _, w := range []float64{.5, 2, 5, 20, math.Inf(1)} {
				add(fmt.Sprint("ses disp ", r, w), Smoothing{.1, Dispersion{r, w}})
			}
		}
		for _, a := range []float64{.03, .05, .1, .15, .2, .3} {
			add(fmt.Sprint("ses a ", a), Smoothing{a, Dispersion{1.4, 5}})
			add(fmt.Sprint("sba a ", a), Croston{a, a, SyntetosBoylan, Dispersion{1.4, 5}})
			add(fmt.Sprint("croston a ", a), Croston{a, a, Uncorrected, Dispersion{1.4, 5}})
			for _, b := range []float64{.05, .1, .2, .3} {
				add(fmt.Sprint("tsb a ", a, b), TSB{a, b, Dispersion{1.4, 5}})
			}
			add(fmt.Sprint("nb ", 1-a), Discounted{1 - a, .4, 1, Season{}})
		}
		for _, k := range []float64{.8, .85, .9} {
			for _, w := range []float64{1, 2, 3, 4, 6} {
				for _, d := range []Dispersion{{1.5, 4}, {2, 4}, {1.5, 10}, {2, 1}} {
					add(fmt.Sprint("pooled ", k, w, d), &Pooled{k, w, NewMonthlyMean(c, Season{}, k), d, Season{}})
				}
			}
		}
		for _, x := range ms {
			s := sc[x.n]
			if s == nil {
				s = &devScore{}
				sc[x.n] = s
				names = append(names, x.n)
			}
			for i := range c {
				tr := c[i].through(x.m.Begin())
				s.add(tr.Ahead(WholeMonths(c[i].Last()+1, 1), nil), tr.Ahead(WholeMonths(c[i].Last()+1, 3), nil), hs[i].Pieces[o:min(51, o+6)])
			}
		}
	}
	for _, n := range names {
		fmt.Printf("%-18s %s\n", n, sc[n])
	}
}
