package learn

import (
	"maps"
	"slices"

	"sootsayer/kb"
)

// authored is a base as counting needs it: ids looked up, causes with what they
// lead to, tables with the causes that have a row.
type authored struct {
	families map[string]*family
	tables   map[string]*observable // by "check/ID" or "symptom/ID"
	order    []*observable          // symptoms first, then checks, in base order
}

// family is one family of a base.
type family struct {
	model       *kb.Model
	causes      map[string]*cause
	observables map[observableKey]*observable
}

// cause is a cause of one family; reaches holds the causes of the family that
// it leads to, directly or through others.
type cause struct {
	fix     string
	reaches map[string]bool
}

// observable is a symptom or check with its authored rows, by cause, of all the
// families that have it. Its own Rows are those of one family and not used.
type observable struct {
	kb.Observable
	key  string
	rows map[string][]float64
}

type observableKey struct{ kind, id string }

// String writes the key as it stands in Counts.Tables.
func (k observableKey) String() string { return k.kind + "/" + k.id }

// compile looks up everything that counting needs. A family without causes has
// no model and its jobs cannot be counted.
func compile(b *kb.Base) *authored {
	a := &authored{families: make(map[string]*family), tables: make(map[string]*observable)}
	for i := range b.Families {
		m, err := kb.NewModel(b, b.Families[i].ID)
		if err != nil {
			continue
		}
		a.families[m.Family] = newFamily(m, a.tables)
	}
	for i := range b.Symptoms {
		a.inOrder(observableKey{kb.KindSymptom, b.Symptoms[i].ID})
	}
	for i := range b.Checks {
		a.inOrder(observableKey{kb.KindCheck, b.Checks[i].ID})
	}
	return a
}

// inOrder appends a symptom or check that some family has.
func (a *authored) inOrder(key observableKey) {
	if o := a.tables[key.String()]; o != nil {
		a.order = append(a.order, o)
	}
}

// fits tells whether table counts run over the base's outcomes. Symptoms and
// checks that the base does not have may run over any.
func (a *authored) fits(tables map[string]*TableCounts) error {
	for _, key := range slices.Sorted(maps.Keys(tables)) {
		if o := a.tables[key]; o != nil && !slices.Equal(o.Outcomes, tables[key].Outcomes) {
			return errOutcomes(key, tables[key].Outcomes, o.Outcomes)
		}
	}
	return nil
}

// newFamily looks up one family and adds its rows to those of all families.
func newFamily(m *kb.Model, all map[string]*observable) *family {
	f := &family{model: m, causes: make(map[string]*cause, len(m.Causes)), observables: make(map[observableKey]*observable, len(m.Observables))}
	for i := range m.Causes {
		c := &cause{fix: m.Fixes[m.Causes[i].Fix].ID, reaches: make(map[string]bool)}
		reach(m, i, c.reaches)
		f.causes[m.Causes[i].ID] = c
	}
	for _, mo := range m.Observables {
		key := observableKey{mo.Kind, mo.ID}
		o := all[key.String()]
		if o == nil {
			o = &observable{Observable: mo, key: key.String(), rows: make(map[string][]float64)}
			all[o.key] = o
		}
		for _, row := range mo.Rows {
			o.rows[m.Causes[row.Cause].ID] = row.P
		}
		f.observables[key] = o
	}
	return f
}

// reach adds the causes that cause i leads to.
func reach(m *kb.Model, i int, reached map[string]bool) {
	for _, e := range m.Causes[i].Effects {
		if id := m.Causes[e.Cause].ID; !reached[id] {
			reached[id] = true
			reach(m, e.Cause, reached)
		}
	}
}
