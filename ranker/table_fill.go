package ranker

import (
	"slices"

	"sootsayer/kb"
)

// fillTables writes the numbers of the model into the tables, which have their
// shape. Tables of an observable that stands in `before` as it does in the
// model are taken from there, but for the unlisted cause: its rows depend on
// the shares. Before is nil or an engine of the same shape.
func (e *Engine) fillTables(before *Engine) {
	same := make([]bool, len(e.tables))
	if before != nil && e.model.Floor == before.model.Floor {
		for t := range same {
			same[t] = sameRows(&e.model.Observables[t], &before.model.Observables[t])
		}
	}
	e.layOutNumbers(same)
	f := filler{model: e.model}
	for t := range e.tables {
		tab, o := &e.tables[t], &e.model.Observables[t]
		if !same[t] {
			f.fill(tab, o)
			continue
		}
		old := &before.tables[t]
		copy(tab.h, old.h)
		for j := range tab.p {
			copy(tab.p[j], old.p[j])
		}
		f.fillRow(tab, o, 0) // in no mixed group: no set with causes has it
	}
}

// sameRows tells whether two observables have the same numbers.
func sameRows(a, b *kb.Observable) bool {
	return slices.Equal(a.Normally, b.Normally) && slices.EqualFunc(a.Rows, b.Rows, func(x, y kb.ModelRow) bool {
		return x.Cause == y.Cause && slices.Equal(x.P, y.P)
	})
}

// layOutNumbers gives the numbers of all tables one stretch of memory, in the
// order in which a ranking reads them, so that it streams. What does not change
// in the tables that stay the same is left where it is.
func (e *Engine) layOutNumbers(same []bool) {
	var floats int
	for t := range e.tables {
		tab := &e.tables[t]
		floats += (1 + tab.k) * tab.rows()
		if !same[t] {
			floats += tab.k + len(tab.mixedSet)*tab.stride
		}
	}
	numbers := make([]float64, floats)
	next := func(n int) []float64 {
		v := numbers[:n:n]
		numbers = numbers[n:]
		return v
	}
	for t := range e.tables {
		tab := &e.tables[t]
		n := tab.rows()
		if !same[t] {
			tab.normal = next(tab.k)
		}
		tab.h = next(n)
		tab.p = make([][]float64, tab.k)
		for j := tab.k - 1; j >= 0; j-- { // the first outcome is what the others leave
			tab.p[j] = next(n)
		}
		if !same[t] {
			tab.mixedP = next(len(tab.mixedSet) * tab.stride)
		}
	}
}

// filler works out the rows of tables.
type filler struct {
	model *kb.Model
	row   []float64
	zs    []float64 // ratios of every row of the observable at hand
	with  [][]float64
}

// fill writes every number of a table.
func (f *filler) fill(tab *table, o *kb.Observable) {
	copy(tab.normal, o.Normally)
	applyFloor(tab.normal, f.model.Floor)
	tab.hNormal = nats(tab.normal)
	f.zs = f.zs[:0]
	for _, row := range o.Rows {
		f.zs = appendRatios(f.zs, row.P, o.Normally)
	}
	for r := range tab.rows() {
		f.fillRow(tab, o, r)
	}
	for i, r := range tab.mixedRow {
		for j, p := range tab.p {
			tab.mixedP[i*tab.stride+j] = p[r]
		}
	}
}

// fillRow writes one row: the unlisted cause's mean for the first, a row as
// written for one cause, the noisy-MAX for several.
func (f *filler) fillRow(tab *table, o *kb.Observable, r int) {
	if len(f.row) != tab.k {
		f.row = make([]float64, tab.k)
	}
	key := tab.keys[tab.keyStart[r]:tab.keyStart[r+1]]
	switch len(key) {
	case 0:
		meanRow(f.row, o, f.model.Causes)
	case 1:
		copy(f.row, o.Rows[key[0]].P)
	default:
		f.with = f.with[:0]
		for _, i := range key {
			f.with = append(f.with, f.zs[int(i)*tab.k:(int(i)+1)*tab.k])
		}
		combine(f.row, o.Normally, f.with)
	}
	applyFloor(f.row, f.model.Floor)
	tab.h[r] = nats(f.row)
	for j, v := range f.row {
		tab.p[j][r] = v
	}
}
