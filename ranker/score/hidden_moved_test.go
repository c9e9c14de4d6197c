package score

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// distance is how far numbers lie from the hidden ones: the mean over all of
// them, each weighing as often as it was tried out, as authored and as learned.
type distance struct{ authored, learned, weight float64 }

func (d *distance) add(authored, learned, hidden, weight float64) {
	d.authored += weight * math.Abs(authored-hidden)
	d.learned += weight * math.Abs(learned-hidden)
	d.weight += weight
}

func (d *distance) String() string {
	return fmt.Sprintf("%.3f, authored %.3f", d.learned/d.weight, d.authored/d.weight)
}

// moved tells how near the learned numbers came to the hidden ones.
type moved struct {
	shares, rows, minutes, cures distance
	own, pooled                  float64 // bits from the shares of a model to the learned ones, and to the family's
	unlisted, second, kappa      float64
	rose                         []float64 // of the causes that grew
	alarms, seldom               int       // others that are said to have risen; those with less than three jobs
}

// surelyRose is the chance from which a cause is said to have risen.
const surelyRose = 0.99

func (s *shop) moved(now time.Time) *moved {
	base, counts := s.teacher.base, s.teacher.counts
	d := &moved{kappa: counts.Kappa(base, s.plan.family)}
	family, start := s.model("", now), s.engines.authored.Model()
	d.unlisted, d.second = family.Unlisted, family.SecondFault
	worlds := s.truth.worlds[s.truth.era(now)]
	for i, w := range worlds {
		m := s.model(s.plan.models[i], now)
		for k, hidden := range sharesOf(w.Model) {
			d.shares.add(start.Causes[k].Share, m.Causes[k].Share, hidden, 1)
		}
		d.own += bitsBetween(sharesOf(w.Model), sharesOf(m)) / float64(len(worlds))
		d.pooled += bitsBetween(sharesOf(w.Model), sharesOf(family)) / float64(len(worlds))
	}
	d.work(counts, start, family, worlds[0].Model)
	d.drift(s, counts.Priors(base, s.plan.family, "", now))
	return d
}

func (s *shop) model(name string, now time.Time) *kb.Model {
	m, err := s.teacher.counts.Model(s.teacher.base, s.plan.family, name, now)
	if err != nil {
		s.tb.Fatal(err)
	}
	return m
}

// bitsBetween is what forecasts by q cost more than by p, which is so.
func bitsBetween(p, q []float64) (bits float64) {
	for k := range p {
		if p[k] > 0 {
			bits += p[k] * math.Log2(p[k]/q[k])
		}
	}
	return bits
}

// work compares what is alike in all models: tables, minutes and cures.
func (d *moved) work(counts *learn.Counts, start, m, hidden *kb.Model) {
	for i := range m.Observables {
		o := &m.Observables[i]
		key := o.Kind + "/" + o.ID
		d.minutes.add(math.Log(start.Observables[i].Minutes), math.Log(o.Minutes), math.Log(hidden.Observables[i].Minutes), float64(counts.Minutes[key].Jobs))
		table := counts.Tables[key]
		if table == nil {
			continue
		}
		for r, row := range o.Rows {
			d.rows.add(start.Observables[i].Rows[r].P[0], row.P[0], hidden.Observables[i].Rows[r].P[0], float64(table.Rows[m.Causes[row.Cause].ID].Jobs))
		}
	}
	for i := range m.Fixes {
		if f := counts.Fixes[m.Fixes[i].ID]; f != nil {
			d.cures.add(start.Fixes[i].Cures, m.Fixes[i].Cures, hidden.Fixes[i].Cures, float64(f.Cures.Jobs))
			d.minutes.add(math.Log(withProof(start, i)), math.Log(withProof(m, i)), math.Log(withProof(hidden, i)), float64(f.Minutes.Jobs))
		}
	}
}

// drift reads off which causes are said to have risen.
func (d *moved) drift(s *shop, list []learn.Prior) {
	grown := make(map[string]bool)
	for _, i := range s.truth.grown {
		grown[s.truth.family.Causes[i].ID] = true
	}
	for _, p := range list {
		switch {
		case p.Rose == nil:
		case grown[p.ID]:
			d.rose = append(d.rose, *p.Rose)
		case *p.Rose >= surelyRose:
			d.alarms++
			if p.RecentJobs < 3 {
				d.seldom++
			}
		}
	}
}

func (d *moved) String() string {
	return fmt.Sprintf(`mean distance to the hidden numbers, learned and authored:
  shares %s; chance of the normal outcome in a row %s;
  ln minutes %s; cures %s
bits to the shares of a model: %.3f, to those of the family %.3f; kappa %.0f, hidden %d
unlisted %.3f, hidden %.3f
chance of having risen: %.4f of the causes that grew; from %.2f in %d others, %d of them with less than 3 jobs
`, &d.shares, &d.rows, &d.minutes, &d.cures, d.own, d.pooled, d.kappa, hiddenKappa, d.unlisted, hiddenUnlisted, d.rose, surelyRose, d.alarms, d.seldom)
}

// TestHiddenKappa: how alike the models are is read off their closed jobs. With
// few models kappa comes out too large, because the family's shares are taken
// from the same models' jobs: two models lie half as far from their own mean as
// from the hidden one.
func TestHiddenKappa(t *testing.T) {
	b := shippedBase(t)
	family := b.IDs("families")[0]
	m, err := kb.NewModel(b, family)
	if err != nil {
		t.Fatal(err)
	}
	for _, models := range []int{2, 8} {
		var before float64
		for _, hidden := range []float64{30, 100, 300, 1e6} {
			rng := rand.New(rand.NewPCG(5, uint64(models)))
			var logs float64
			const rounds = 5
			for range rounds {
				counts := learn.New(b)
				for i := range models {
					shares := dirichletAround(rng, hidden, sharesOf(m))
					for range 2000 {
						id := m.Causes[quantile(shares, rng.Float64())].ID
						counts.Add(&kb.Job{Family: family, Model: fmt.Sprint(i), Closing: &kb.Closing{At: firstDay, Causes: []string{id}, Confidence: 1}})
					}
				}
				logs += math.Log(counts.Kappa(b, family)) / rounds
			}
			kappa := math.Exp(logs)
			t.Logf("%d models, hidden kappa %.0f: %.0f", models, hidden, kappa)
			if kappa < 1.5*before {
				t.Errorf("%d models: kappa %.0f where it should be well above %.0f", models, kappa, before)
			}
			if hidden < 1e6 && (kappa < hidden/1.5 || kappa > 3*hidden) {
				t.Errorf("%d models: kappa %.0f, hidden %.0f", models, kappa, hidden)
			}
			before = kappa
		}
	}
}
