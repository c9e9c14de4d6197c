package kb

import "slices"

// Clone returns a copy of a model with its own copy of every number that
// learning moves: shares, effects, cures, minutes, parts and tables. Names,
// ranges, states and holds are shared; they are never changed.
func (m *Model) Clone() *Model {
	c := *m
	c.Causes = slices.Clone(m.Causes)
	for i := range c.Causes {
		c.Causes[i].Effects = slices.Clone(c.Causes[i].Effects)
	}
	c.Fixes = slices.Clone(m.Fixes)
	for i := range c.Fixes {
		c.Fixes[i].Parts = slices.Clone(c.Fixes[i].Parts)
	}
	var rows, numbers int
	for i := range m.Observables {
		o := &m.Observables[i]
		rows += len(o.Rows)
		numbers += len(o.Normally) * (len(o.Rows) + 1)
	}
	// One piece of memory for all tables: they are many and small.
	roomRows, room := make([]ModelRow, 0, rows), make([]float64, 0, numbers)
	table := func(p []float64) []float64 {
		at := len(room)
		room = append(room, p...)
		return room[at:len(room):len(room)]
	}
	c.Observables = slices.Clone(m.Observables)
	for i := range c.Observables {
		o := &c.Observables[i]
		o.Normally = table(o.Normally)
		if o.Rows == nil {
			continue
		}
		at := len(roomRows)
		for _, r := range o.Rows {
			roomRows = append(roomRows, ModelRow{Cause: r.Cause, P: table(r.P)})
		}
		o.Rows = roomRows[at:len(roomRows):len(roomRows)]
	}
	return &c
}
