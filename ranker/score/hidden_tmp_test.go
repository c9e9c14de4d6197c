package score

import (
	"fmt"
	"os"
	"testing"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

func TestHiddenTmp(t *testing.T) {
	base, problems := kb.Load(os.DirFS("../../data/base"))
	if errs := problems.Errors(); len(errs) > 0 {
		t.Fatal(errs)
	}
	for _, fam := range base.IDs("families") {
		for _, second := range []float64{0, 0.05} {
			base.Settings.SecondFault = second
			m, _ := kb.NewModel(base, fam)
			rows, nsym, eff := 0, 0, 0
			for _, o := range m.Observables {
				rows += len(o.Rows)
				if o.Kind == kb.KindSymptom {
					nsym++
				}
			}
			for _, c := range m.Causes {
				eff += len(c.Effects)
			}
			e := ranker.New(m)
			b, _ := e.Believe(nil)
			t0 := time.Now()
			n := 50
			for range n {
				b.Rank(ranker.Options{Detail: 1, Then: 1})
			}
			rank := time.Since(t0) / time.Duration(n)
			t0 = time.Now()
			for range n {
				e.Believe([]kb.Act{{Finding: &kb.Finding{Kind: "symptom", ID: m.Observables[0].ID, Outcome: "yes"}}})
			}
			bel := time.Since(t0) / time.Duration(n)
			c := learn.New(base)
			t0 = time.Now()
			for range n {
				c.Model(base, fam, "", time.Now())
			}
			mod := time.Since(t0) / time.Duration(n)
			t0 = time.Now()
			for range n {
				e.Relearn(m)
			}
			rel := time.Since(t0) / time.Duration(n)
			fmt.Println(fam, second, "causes", len(m.Causes), "obs", len(m.Observables), "symptoms", nsym, "rows", rows, "fixes", len(m.Fixes), "effects", eff, "rank", rank, "believe", bel, "model", mod, "relearn", rel)
		}
	}
}
