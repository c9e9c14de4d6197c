package ranker

import (
	"slices"

	"sootsayer/kb"
)

// table is an observable's outcome distribution for every set of causes. Sets
// without a row of the observable, most of them, share the normal row; the
// others are touched. Rows are kept once each, and for the ranking by the
// groups that have them:
//
//   - a group all of whose sets have the same row is uniform: it is listed under
//     that row, rowGroups[rowStart[r]:rowStart[r+1]], and its conditional
//     entropy is the row's, known beforehand;
//   - any other touched group is mixed: its sets are visited one by one.
type table struct {
	k       int       // number of outcomes
	normal  []float64 // k
	hNormal float64   // entropy of normal, in nats

	sets   []int32     // touched sets, ascending
	setRow []int32     // row of each touched set
	p      [][]float64 // by outcome, then by row: loops over rows read memory in order
	h      []float64   // entropy of each row, in nats

	rowStart  []int32
	rowGroups []int32
	mixed     []mixedGroup
	mixedSet  []int32   // touched sets of the mixed groups, group by group
	mixedP    []float64 // and their rows, stride values a set
	stride    int       // k, or 4 with zeroes behind for fewer outcomes
}

// mixedGroup is a group whose touched sets are table.mixedSet[start:end].
type mixedGroup struct{ group, start, end int32 }

// compileTables works out the outcome table of every set that an observable
// has a row for.
func (e *Engine) compileTables() {
	c := &tableCompiler{e: e,
		inSets: make([][]int32, len(e.model.Causes)),
		rowOf:  make([]int32, len(e.model.Causes)),
		mark:   make([]int32, len(e.hyp.causes))}
	for s, causes := range e.hyp.causes {
		for _, cause := range causes {
			c.inSets[cause] = append(c.inSets[cause], int32(s))
		}
	}
	e.tables = make([]table, len(e.model.Observables))
	for t := range e.tables {
		c.compile(t)
	}
	e.layOut()
}

// layOut moves the numbers of all tables into one stretch of memory, in the
// order in which a ranking reads them, so that it streams.
func (e *Engine) layOut() {
	var floats, ints int
	for t := range e.tables {
		tab := &e.tables[t]
		floats += (1+len(tab.h))*tab.k + len(tab.h) + len(tab.mixedP)
		ints += len(tab.rowGroups) + len(tab.rowStart) + len(tab.mixedSet)
	}
	numbers, indexes := make([]float64, 0, floats), make([]int32, 0, ints)
	for t := range e.tables {
		tab := &e.tables[t]
		tab.rowStart, indexes = move(indexes, tab.rowStart)
		tab.rowGroups, indexes = move(indexes, tab.rowGroups)
		tab.mixedSet, indexes = move(indexes, tab.mixedSet)
		tab.normal, numbers = move(numbers, tab.normal)
		tab.h, numbers = move(numbers, tab.h)
		for j := len(tab.p) - 1; j >= 0; j-- { // the first outcome is what the others leave
			tab.p[j], numbers = move(numbers, tab.p[j])
		}
		tab.mixedP, numbers = move(numbers, tab.mixedP)
	}
}

// move appends v to all, which must have room, and returns where it is now.
func move[T any](all, v []T) (moved, grown []T) {
	n := len(all)
	all = append(all, v...)
	return all[n:len(all):len(all)], all
}

// tableCompiler holds what compiling the tables of one engine shares.
type tableCompiler struct {
	e      *Engine
	inSets [][]int32 // by cause: the sets it is in
	rowOf  []int32   // by cause: 1 + its row of the observable at hand, or 0
	mark   []int32   // by set: 1 + the last observable that touched it
	known  []int32   // by one or two rows of the observable: 1 + their row of the table
	key    []int32
	rows   []float64 // of the observable at hand, one after another
	with   [][]float64
}

func (c *tableCompiler) compile(t int) {
	m := c.e.model
	o, tab := &m.Observables[t], &c.e.tables[t]
	tab.k = len(o.Outcomes)
	tab.stride = max(4, tab.k)
	tab.normal = slices.Clone(o.Normally)
	applyFloor(tab.normal, m.Floor)
	tab.hNormal = nats(tab.normal)
	zs := make([][]float64, len(o.Rows))
	tab.sets = append(tab.sets, 0) // the unlisted cause
	for r, row := range o.Rows {
		c.rowOf[row.Cause] = int32(r) + 1
		zs[r] = ratios(row.P, o.Normally)
		for _, s := range c.inSets[row.Cause] {
			if c.mark[s] != int32(t)+1 {
				c.mark[s] = int32(t) + 1
				tab.sets = append(tab.sets, s)
			}
		}
	}
	c.sortTouched(t, tab)
	c.rows = c.rows[:0]
	c.addRows(o, tab, zs)
	for _, row := range o.Rows {
		c.rowOf[row.Cause] = 0
	}
	tab.setRows(c.rows)
	tab.arrange(&c.e.groups)
}

// sortTouched puts the touched sets in order: by running over the marks where
// many are touched, by sorting where few are.
func (c *tableCompiler) sortTouched(t int, tab *table) {
	if len(tab.sets) < len(c.mark)/8 {
		slices.Sort(tab.sets)
		return
	}
	tab.sets = append(tab.sets[:0], 0)
	for s, mark := range c.mark {
		if mark == int32(t)+1 {
			tab.sets = append(tab.sets, int32(s))
		}
	}
}

// addRows gives every touched set its row, making each distinct row once: sets
// with the same causes among those that have rows share one.
func (c *tableCompiler) addRows(o *kb.Observable, tab *table, zs [][]float64) {
	c.known = resize(c.known, (len(o.Rows)+1)*(len(o.Rows)+1))
	rare := make(map[string]int32) // by three causes or more
	tab.setRow = make([]int32, len(tab.sets))
	for i, s := range tab.sets {
		c.key = c.key[:0]
		for _, cause := range c.e.hyp.causes[s] {
			if r := c.rowOf[cause]; r > 0 {
				c.key = append(c.key, r)
			}
		}
		switch len(c.key) {
		case 0:
			tab.setRow[i] = c.addRow(tab.k, func(p []float64) { meanRow(p, o, c.e.model.Causes) })
		case 1, 2:
			slot := &c.known[int(c.key[0])*(len(o.Rows)+1)+int(c.key[len(c.key)-1])]
			if *slot == 0 {
				*slot = 1 + c.newRow(o, tab, zs)
			}
			tab.setRow[i] = *slot - 1
		default:
			key := setKey(c.key)
			row, ok := rare[key]
			if !ok {
				row = c.newRow(o, tab, zs)
				rare[key] = row
			}
			tab.setRow[i] = row
		}
	}
}

// newRow adds the row of the causes in c.key: as written for one cause, the
// noisy-MAX for several.
func (c *tableCompiler) newRow(o *kb.Observable, tab *table, zs [][]float64) int32 {
	return c.addRow(tab.k, func(p []float64) {
		if len(c.key) == 1 {
			copy(p, o.Rows[c.key[0]-1].P)
			return
		}
		c.with = c.with[:0]
		for _, r := range c.key {
			c.with = append(c.with, zs[r-1])
		}
		combine(p, o.Normally, c.with)
	})
}

// resize returns n zeroes, in the same memory where it is large enough.
func resize(v []int32, n int) []int32 {
	if cap(v) < n {
		return make([]int32, n)
	}
	v = v[:n]
	clear(v)
	return v
}

// addRow adds a row of k outcomes to those of the observable at hand.
func (c *tableCompiler) addRow(k int, fill func([]float64)) int32 {
	r := len(c.rows) / k
	for range k {
		c.rows = append(c.rows, 0)
	}
	p := c.rows[r*k:]
	fill(p)
	applyFloor(p, c.e.model.Floor)
	return int32(r)
}

// setRows keeps the rows, given one after another, outcome by outcome.
func (tab *table) setRows(rows []float64) {
	n := len(rows) / tab.k
	tab.h = make([]float64, n)
	flat := make([]float64, len(rows))
	tab.p = make([][]float64, tab.k)
	for j := range tab.p {
		tab.p[j] = flat[j*n : (j+1)*n : (j+1)*n]
	}
	for r := range n {
		row := rows[r*tab.k : (r+1)*tab.k]
		tab.h[r] = nats(row)
		for j, v := range row {
			tab.p[j][r] = v
		}
	}
}

// arrange sorts the touched groups into uniform ones, by row, and mixed ones.
func (tab *table) arrange(g *groups) {
	uniform := make([]int32, 0, len(tab.sets)) // places in tab.sets of the uniform groups
	tab.rowStart = make([]int32, len(tab.h)+1)
	for i := 0; i < len(tab.sets); {
		group := g.of[tab.sets[i]]
		j, same := i+1, true
		for ; j < len(tab.sets) && g.of[tab.sets[j]] == group; j++ {
			same = same && tab.setRow[j] == tab.setRow[i]
		}
		if same && int32(j-i) == g.start[group+1]-g.start[group] {
			uniform = append(uniform, int32(i))
			tab.rowStart[tab.setRow[i]+1]++
		} else {
			start := int32(len(tab.mixedSet))
			tab.mixedSet = append(tab.mixedSet, tab.sets[i:j]...)
			for _, r := range tab.setRow[i:j] {
				for _, p := range tab.p {
					tab.mixedP = append(tab.mixedP, p[r])
				}
				for range tab.stride - tab.k {
					tab.mixedP = append(tab.mixedP, 0)
				}
			}
			tab.mixed = append(tab.mixed, mixedGroup{group, start, start + int32(j-i)})
		}
		i = j
	}
	for r := range tab.h {
		tab.rowStart[r+1] += tab.rowStart[r]
	}
	tab.rowGroups = make([]int32, len(uniform))
	next := slices.Clone(tab.rowStart)
	for _, i := range uniform {
		r := tab.setRow[i]
		tab.rowGroups[next[r]] = g.of[tab.sets[i]]
		next[r]++
	}
}

// nats returns the entropy -sum p ln p.
func nats(p []float64) float64 {
	var h float64
	for _, v := range p {
		h -= xlogx(v)
	}
	return max(0, h)
}
