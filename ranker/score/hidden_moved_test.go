package score

import (
	"fmt"
	"math"
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
	shares, minutes, cures, rows distance
	unlisted, kappa              float64
	rose                         []float64 // of the causes that grew
	alarms                       int       // others that are said to have risen
}

// surelyRose is the chance from which a risen share is told.
const surelyRose = 0.99

func (s *shop) moved(now time.Time) *moved {
	base, counts := s.teacher.base, s.teacher.counts
	hidden, start := s.truth.worlds[s.truth.era(now)][0], s.engines.authored.Model()
	m, err := counts.Model(base, s.plan.family, s.plan.models[0], now)
	if err != nil {
		s.tb.Fatal(err)
	}
	d := &moved{kappa: counts.Kappa(base, s.plan.family), unlisted: m.Unlisted}
	for i := range m.Causes {
		d.shares.add(start.Causes[i].Share, m.Causes[i].Share, hidden.Causes[i].Share, 1)
	}
	for i := range m.Observables {
		o := &m.Observables[i]
		key := o.Kind + "/" + o.ID
		timed := counts.Minutes[key]
		d.minutes.add(math.Log(start.Observables[i].Minutes), math.Log(o.Minutes), math.Log(hidden.Observables[i].Minutes), float64(timed.Jobs))
		for r, row := range o.Rows {
			if table := counts.Tables[key]; table != nil {
				n := float64(table.Rows[m.Causes[row.Cause].ID].Jobs)
				d.rows.add(start.Observables[i].Rows[r].P[0], row.P[0], hidden.Observables[i].Rows[r].P[0], n)
			}
		}
	}
	for i := range m.Fixes {
		if f := counts.Fixes[m.Fixes[i].ID]; f != nil {
			d.cures.add(start.Fixes[i].Cures, m.Fixes[i].Cures, hidden.Fixes[i].Cures, float64(f.Cures.Jobs))
			d.minutes.add(math.Log(withProof(start, i)), math.Log(withProof(m, i)), math.Log(withProof(hidden.Model, i)), float64(f.Minutes.Jobs))
		}
	}
	d.drift(s, counts.Priors(base, s.plan.family, "", now))
	return d
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
		case p.ID != kb.Unlisted && *p.Rose >= surelyRose:
			d.alarms++
		}
	}
}

// check holds what was learned in the end against the hidden truth.
func (d *moved) check(t *testing.T) {
	t.Logf("mean distance to the hidden numbers: shares %s; chance of the normal outcome in a row %s; ln minutes %s; cures %s", &d.shares, &d.rows, &d.minutes, &d.cures)
	t.Logf("unlisted %.3f, hidden %.3f; kappa %.0f, hidden %d; rose %.4f of those that grew, and %d others from %.2f", d.unlisted, hiddenUnlisted, d.kappa, hiddenKappa, d.rose, d.alarms, surelyRose)
}
