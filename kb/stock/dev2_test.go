package stock

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestChoice(t *testing.T) {
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
			f := NewForecaster(c, Options{Workers: 2})
			if o > 0 {
				fmt.Println("learn", time.Since(t0))
				for _, m := range f.methods {
					switch m := m.(type) {
					case Adjusted:
						fmt.Printf("  %s keep %g\n", m.Name(), m.Keep)
					default:
						fmt.Printf("  %+v\n", m)
					}
				}
				for k := range f.relative {
					fmt.Printf("%.3f\n", f.relative[k])
				}
			}
			for _, pm := range []float64{200} {
				t0 := time.Now()
				one := f.All(c, time.Date(1998, time.Month(o+1), 1, 0, 0, 0, 0, time.UTC), (c[0].Last() + 1).Days())
				d3 := (c[0].Last() + 1).Days() + (c[0].Last() + 2).Days() + (c[0].Last() + 3).Days()
				three := f.All(c, time.Date(1998, time.Month(o+1), 1, 0, 0, 0, 0, time.UTC), d3)
				el := time.Since(t0)
				name := fmt.Sprint(pm)
				s := sc[name]
				if s == nil {
					s = &devScore{}
					sc[name] = s
					names = append(names, name)
				}
				use := map[string]int{}
				for i := range c {
					s.add(one[i].Demand, three[i].Demand, hs[i].Pieces[o:min(51, o+6)])
					use[one[i].Method]++
				}
				fmt.Println(o, pm, use, el/2)
			}
		}
		for _, n := range names {
			fmt.Printf("%-14s %s\n", n, sc[n])
		}
	}
}
