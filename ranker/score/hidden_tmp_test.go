package score

import (
	"os"
	"strings"
	"testing"
)

func TestTmpDrift(t *testing.T) {
	for _, family := range strings.Fields(os.Getenv("FAM")) {
		for _, drift := range []int{3, 30} {
			for seed := uint64(1); seed <= 2; seed++ {
				s := newShop(t, singleFaults(t), &plan{seed: seed, family: family, models: twoModels, perSeason: 1000, driftFrom: firstDay.AddDate(drift, 0, 0)})
				for len(s.cases) < 5000 {
					s.next()
				}
				now := s.now()
				es := s.learnedBy(now)
				x := s.newExam(s.truth.era(now), 1000, es)
				for _, r := range []struct{ right, unf bool }{{false, false}, {true, false}, {false, true}, {true, true}} {
					es := s.otherwise(now, r.right, r.unf)
					m := x.marks(es)
					t.Logf("%s seed %d drift %d right %v unfading %v: over %.4f %.4f ece %.4f %.4f unlisted %.4f", family, seed, drift, r.right, r.unf, m[0].over(), m[1].over(), m[0].bins.CalibrationError(), m[1].bins.CalibrationError(), es[0].Model().Unlisted)
				}
				d := s.moved(now)
				t.Logf("alarms %d seldom %d", d.alarms, d.seldom)
			}
		}
	}
}
