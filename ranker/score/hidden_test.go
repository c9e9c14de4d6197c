package score

import (
	"fmt"
	"os"
	"testing"
	"time"

	"sootsayer/kb"
	"sootsayer/ranker"
)

func shippedBase(tb testing.TB) *kb.Base {
	tb.Helper()
	b, problems := kb.Load(os.DirFS("../../data/base"))
	if errs := problems.Errors(); len(errs) > 0 {
		tb.Fatal(errs)
	}
	return b
}

func both(e *ranker.Engine) []*ranker.Engine { return []*ranker.Engine{e, e} }

func TestHidden(t *testing.T) {
	for _, family := range []string{"oil-furnace", "used-oil-heater"} {
		t.Run(family, func(t *testing.T) {
			t.Parallel()
			b := shippedBase(t)
			b.Settings.SecondFault = 0
			s := newShop(t, b, &plan{seed: 1, family: family, models: []string{"m-1", "m-2"}, perSeason: 1000,
				driftFrom: firstDay.AddDate(3, 0, 0), stages: []stage{{50, 500}, {200, 500}, {1000, 500}, {5000, 2500}}})
			var knows, plain [2]*exam
			t0 := time.Now()
			for _, g := range s.plan.stages {
				for len(s.cases) < g.jobs {
					s.next()
				}
				now := s.cases[g.jobs-1].Job.Closing.At
				era := s.truth.era(now)
				if knows[era] == nil {
					w := s.truth.worlds[era]
					knows[era] = s.newExam(era, 1000, []*ranker.Engine{w[0].knows, w[1].knows})
					plain[era] = s.newExam(era, 1000, both(s.engines.authored))
				}
				es := s.learnedBy(now)
				x := s.newExam(era, g.fresh, es)
				show := func(what string, es []*ranker.Engine) {
					m := x.marks(es)
					t.Logf("%5d %-20s complaint %.3f truth %.3f over %.3f; fix %.3f truth %.3f over %.3f; ece %.4f %.4f", g.jobs, what, m[0].bits, m[0].truth, m[0].over(), m[1].bits, m[1].truth, m[1].over(), m[0].bins.CalibrationError(), m[1].bins.CalibrationError())
				}
				show("learned", es)
				show("authored", both(s.engines.authored))
				if g.jobs == 5000 {
					show("right", s.otherwise(now, true, false))
					show("unfading", s.otherwise(now, false, true))
					show("right,unfading", s.otherwise(now, true, true))
					show("right,unf+true shares", x.given(s.otherwise(now, true, true), true, false))
					show("true shares", x.given(es, true, false))
					show("true tables", x.given(es, false, true))
				}
				t.Log(fmt.Sprintf("%v minutes %.1f; above truth %+v; below authored %+v truth %.1f authored %.1f", time.Since(t0), mean(x.minutes()), more(x.minutes(), knows[era].minutes()), more(plain[era].minutes(), x.minutes()), mean(knows[era].minutes()), mean(plain[era].minutes())))
				s.moved(now).check(t)
			}
		})
	}
}
