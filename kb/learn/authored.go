package learn

import (
	"maps"
	"slices"

	"sootsayer/kb"
)

// authored is a base as counting needs it: ids looked up, causes with what they
// lead to, tables with the causes that have a row.
type authored struct {
	of       *kb.Base
	families map[string]*family
	fixes    map[string]*fix
	tables   map[string]*observable // by "check/ID" or "symptom/ID"
	order    []*observable          // symptoms first, then checks, in base order
}

// family is one family of a base.
type family struct {
	model       *kb.Model
	causes      map[string]*cause
	observables map[observableKey]*observable
	alone       float64 // chance that a job has a single root and that it is listed
}

// cause is a cause of one family; reaches holds the causes of the family that
// it leads to, directly or through others.
type cause struct {
	id      string
	index   int // into the family's model
	share   float64
	fix     *fix
	effects []effect
	reaches []bool // by index
}

// effect is a cause that another one brings along with chance p.
type effect struct {
	of  *cause
	p   float64
	key string // in FamilyCounts.Effects
}

// fix is a fix of the base, with its parts for all families.
type fix struct {
	id    string
	cures float64
	parts []kb.PartUse
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
	a := &authored{of: b, families: make(map[string]*family), fixes: make(map[string]*fix, len(b.Fixes)), tables: make(map[string]*observable)}
	for i := range b.Fixes {
		f := &b.Fixes[i]
		a.fixes[f.ID] = &fix{id: f.ID, cures: f.Cures, parts: f.Parts}
	}
	for i := range b.Families {
		m, err := kb.NewModel(b, b.Families[i].ID)
		if err != nil {
			continue
		}
		a.families[m.Family] = newFamily(m, a.tables, a.fixes)
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
func newFamily(m *kb.Model, all map[string]*observable, fixes map[string]*fix) *family {
	f := &family{model: m, causes: make(map[string]*cause, len(m.Causes)), observables: make(map[observableKey]*observable, len(m.Observables)),
		alone: 1 - m.Unlisted}
	f.addCauses(fixes)
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

// addCauses looks up the causes and what each leads to.
func (f *family) addCauses(fixes map[string]*fix) {
	m, shared := f.model, 0
	byIndex := make([]*cause, len(m.Causes))
	for i := range m.Causes {
		mc := &m.Causes[i]
		c := &cause{id: mc.ID, index: i, share: mc.Share, fix: fixes[m.Fixes[mc.Fix].ID]}
		if c.fix == nil { // lint refuses a cause without a fix
			c.fix = &fix{id: m.Fixes[mc.Fix].ID}
		}
		if c.share > 0 {
			shared++
		}
		byIndex[i], f.causes[c.id] = c, c
	}
	if shared > 1 {
		f.alone *= 1 - m.SecondFault
	}
	for i, c := range byIndex {
		for _, e := range m.Causes[i].Effects {
			to := byIndex[e.Cause]
			c.effects = append(c.effects, effect{of: to, p: e.P, key: effectKey(c.id, to.id)})
		}
		c.reaches = make([]bool, len(byIndex))
		reach(m, i, c.reaches)
	}
}

// reach marks the causes that cause i leads to.
func reach(m *kb.Model, i int, reached []bool) {
	for _, e := range m.Causes[i].Effects {
		if !reached[e.Cause] {
			reached[e.Cause] = true
			reach(m, e.Cause, reached)
		}
	}
}
