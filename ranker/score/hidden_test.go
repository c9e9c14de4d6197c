package score

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"sootsayer/kb"
	"sootsayer/ranker"
)

func hiddenBase(tb testing.TB) *kb.Base {
	b, problems := kb.Load(os.DirFS("../../data/base"))
	if errs := problems.Errors(); len(errs) > 0 {
		tb.Fatal(errs)
	}
	return b
}

func (s *shop) enginesNow() []*ranker.Engine {
	var list []*ranker.Engine
	at := s.cases[len(s.cases)-1].Job.Closing.At
	for _, model := range s.plan.models {
		if err := s.teacher.as(s.engines, s.plan.family, model, at); err != nil {
			s.tb.Fatal(err)
		}
		list = append(list, s.engines.learned)
	}
	return list
}

func TestHiddenTmp(t *testing.T) {
	b := hiddenBase(t)
	b.Settings.SecondFault = 0
	p := &plan{seed: 1, family: "oil-furnace", jobs: 5000, perSeason: 1000, models: []string{"m-1", "m-2"},
		drift: true, driftFrom: time.Date(2023, time.July, 1, 0, 0, 0, 0, time.UTC), wrong: 0.05, late: 0.5}
	stops := []int{200, 5000}
	for _, o := range strings.Fields(os.Getenv("OFF")) {
		switch o {
		case "wrong":
			p.wrong = 0
		case "half":
			b.Settings.HalfLifeYears = 0
		case "drift":
			p.drift = false
		case "late":
			p.late = 0
		case "models":
			p.models = p.models[:1]
		case "uoh":
			p.family = "used-oil-heater"
		default:
			p.seed, _ = strconv.ParseUint(o, 10, 64)
		}
	}
	s := newShop(t, b, p)
	n := 1000
	for _, stop := range stops {
		for len(s.cases) < stop {
			s.next()
		}
		era := 0
		if !s.cases[stop-1].Job.Closing.At.Before(p.driftFrom) {
			era = 1
		}
		x := newExam(s, era, n)
		es := s.enginesNow()
		y := x.worked(es, n)
		show := func(what string, es []*ranker.Engine) {
			m := y.mark(es)
			var se float64
			for _, q := range y.list {
				se += q.visit.minutes / float64(n)
			}
			t.Logf("%v %5d %-16s: complaint %.3f over %.3f; diagnosis %.3f over %.3f; ece first %.3f %.3f all %.4f %.4f minutes %.1f", os.Getenv("OFF"), stop, what, m[0].bits, m[0].over(), m[1].bits, m[1].over(),
				m[0].first.CalibrationError(), m[1].first.CalibrationError(), m[0].all.CalibrationError(), m[1].all.CalibrationError(), se)
		}
		show("learned", es)
		show("true shares", x.hybrid(es, true, false, false))
		show("true rows", x.hybrid(es, false, true, false))
		show("true normally", x.hybrid(es, false, false, true))
		show("true tables", x.hybrid(es, false, true, true))
		t.Log(s.teacher.counts.Kappa(b, p.family))
	}
}

// hybrid takes the learned numbers and puts the truth's in place of some.
func (x *exam) hybrid(es []*ranker.Engine, shares, tables, normally bool) (list []*ranker.Engine) {
	for i, e := range es {
		m := *e.Model()
		w := x.shop.truth.worlds[x.era][i].Model
		if shares {
			m.Causes, m.Unlisted = w.Causes, w.Unlisted
		}
		m.Observables = append([]kb.Observable{}, m.Observables...)
		for j := range m.Observables {
			if tables {
				m.Observables[j].Rows = w.Observables[j].Rows
			}
			if normally {
				m.Observables[j].Normally = w.Observables[j].Normally
			}
		}
		list = append(list, ranker.New(&m))
	}
	return list
}
