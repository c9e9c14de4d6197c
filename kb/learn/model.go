package learn

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"sootsayer/kb"
)

// Model returns the family's authored knowledge moved by the counts as they
// weigh now, for equipment of one model, or of the whole family when model is
// "" or nothing is known of it. Every outcome row, `normally` and table of
// pieces is the mean of its Dirichlet posterior; unlisted, second fault,
// effects and cures are those of their Beta posteriors; minutes are those that a
// log-normal is expected to take. What no closed job bears on stays as authored,
// to the last bit. The base must be the one that the counts were made for; an
// unknown family is an error, and so are counts of outcomes that the base no
// longer has. The model has its own copy of every number.
func (c *Counts) Model(b *kb.Base, family, model string, now time.Time) (*kb.Model, error) {
	m, err := c.authored(b, family)
	if err != nil {
		return nil, err
	}
	scale := c.Now(now)
	p := c.family(m, model, b.Settings.Strength, scale)
	for i := range m.Causes {
		m.Causes[i].Share = p.shares[i].mean()
	}
	m.Unlisted, m.SecondFault = p.unlisted.mean(), p.second.mean()
	for i := range m.Observables {
		if err := c.moveTables(b, m, &m.Observables[i], scale); err != nil {
			return nil, err
		}
	}
	c.moveEffects(m, b.Settings.Strength, scale)
	c.moveCures(m, b.Settings.Strength, scale)
	c.moveMinutes(m, b.Settings.MinutesStrength, scale)
	c.moveParts(m, b.Settings.TableStrength, scale)
	return m, nil
}

// authored returns the authored model of a family, the caller's to change.
func (c *Counts) authored(b *kb.Base, family string) (*kb.Model, error) {
	if f := c.base.families[family]; f != nil && c.base.of == b {
		return f.model.Clone(), nil // sooner than working it out from the base
	}
	return kb.NewModel(b, family)
}

// moveTables moves the rows of one symptom or check and its `normally`.
func (c *Counts) moveTables(b *kb.Base, m *kb.Model, o *kb.Observable, scale float64) error {
	key := observableKey{o.Kind, o.ID}.String()
	t := c.Tables[key]
	if t == nil {
		return nil
	}
	if !slices.Equal(t.Outcomes, o.Outcomes) {
		return errOutcomes(key, t.Outcomes, o.Outcomes)
	}
	strength := b.Settings.TableStrength
	for i := range o.Rows {
		if counts, ok := t.Rows[m.Causes[o.Rows[i].Cause].ID]; ok {
			dirichlet(o.Rows[i].P, strength, counts.at(scale))
		}
	}
	if counts := t.normallyOf(b, o); counts.Jobs > 0 {
		dirichlet(o.Normally, strength, counts.at(scale))
	}
	return nil
}

func errOutcomes(key string, counted, have []string) error {
	return fmt.Errorf("counts of %q are for the outcomes %v, but they are %v here; count the closed jobs again", key, counted, have)
}

// normallyOf returns the counts without a cause that bears on the observable.
// Rows of causes that have none in the base (counts of another shop, whose base
// has one) make no new row: for this base they are evidence about `normally`.
func (t *TableCounts) normallyOf(b *kb.Base, o *kb.Observable) RowCounts {
	sum := t.Normally
	rows := authoredRows(b, o)
	for _, id := range slices.Sorted(maps.Keys(t.Rows)) {
		_, known := b.Cause(id)
		if !known || slices.ContainsFunc(rows, func(r kb.Row) bool { return r.Cause == id }) {
			continue
		}
		more := t.Rows[id]
		weights := slices.Clone(more.Weights)
		for j, w := range sum.Weights {
			weights[j] += w
		}
		sum = RowCounts{Jobs: sum.Jobs + more.Jobs, Weights: weights}
	}
	return sum
}

// authoredRows returns the rows of all families, not only of the model's.
func authoredRows(b *kb.Base, o *kb.Observable) kb.Rows {
	if o.Kind == kb.KindSymptom {
		s, _ := b.Symptom(o.ID) // o was made from b
		return s.If
	}
	c, _ := b.Check(o.ID)
	return c.If
}
