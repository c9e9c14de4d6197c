package ranker

import (
	"slices"

	"sootsayer/kb"
)

// compileTables works out which row of each observable's table every set of
// causes has. The numbers in the rows are for fillTables.
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
	e.layOutShapes()
}

// layOutShapes moves what a ranking reads of all tables' shapes into one
// stretch of memory, in the order in which it is read, so that it streams.
func (e *Engine) layOutShapes() {
	var ints int
	for t := range e.tables {
		tab := &e.tables[t]
		ints += len(tab.rowGroups) + len(tab.rowStart) + len(tab.mixedSet)
	}
	indexes := make([]int32, 0, ints)
	for t := range e.tables {
		tab := &e.tables[t]
		tab.rowStart, indexes = move(indexes, tab.rowStart)
		tab.rowGroups, indexes = move(indexes, tab.rowGroups)
		tab.mixedSet, indexes = move(indexes, tab.mixedSet)
	}
}

// move appends v to all, which must have room, and returns where it is now.
func move(all, v []int32) (moved, grown []int32) {
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
}

func (c *tableCompiler) compile(t int) {
	o, tab := &c.e.model.Observables[t], &c.e.tables[t]
	tab.k = len(o.Outcomes)
	tab.stride = max(4, tab.k)
	tab.sets = append(tab.sets, 0) // the unlisted cause
	for r, row := range o.Rows {
		c.rowOf[row.Cause] = int32(r) + 1
		for _, s := range c.inSets[row.Cause] {
			if c.mark[s] != int32(t)+1 {
				c.mark[s] = int32(t) + 1
				tab.sets = append(tab.sets, s)
			}
		}
	}
	c.sortTouched(t, tab)
	c.findRows(o, tab)
	for _, row := range o.Rows {
		c.rowOf[row.Cause] = 0
	}
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

// findRows tells for every touched set which row it has, each distinct row
// once: sets with the same causes among those that have rows share one.
func (c *tableCompiler) findRows(o *kb.Observable, tab *table) {
	c.known = resize(c.known, (len(o.Rows)+1)*(len(o.Rows)+1))
	rare := make(map[string]int32) // by three causes or more
	tab.setRow = make([]int32, len(tab.sets))
	tab.keyStart = append(tab.keyStart, 0)
	for i, s := range tab.sets {
		c.key = c.key[:0]
		for _, cause := range c.e.hyp.causes[s] {
			if r := c.rowOf[cause]; r > 0 {
				c.key = append(c.key, r)
			}
		}
		switch len(c.key) {
		case 0:
			tab.setRow[i] = c.newRow(tab)
		case 1, 2:
			slot := &c.known[int(c.key[0])*(len(o.Rows)+1)+int(c.key[len(c.key)-1])]
			if *slot == 0 {
				*slot = 1 + c.newRow(tab)
			}
			tab.setRow[i] = *slot - 1
		default:
			key := setKey(c.key)
			row, ok := rare[key]
			if !ok {
				row = c.newRow(tab)
				rare[key] = row
			}
			tab.setRow[i] = row
		}
	}
}

// newRow adds the row that the observable's rows in c.key make together.
func (c *tableCompiler) newRow(tab *table) int32 {
	for _, r := range c.key {
		tab.keys = append(tab.keys, r-1)
	}
	tab.keyStart = append(tab.keyStart, int32(len(tab.keys)))
	return int32(tab.rows() - 1)
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

// arrange sorts the touched groups into uniform ones, by row, and mixed ones.
func (tab *table) arrange(g *groups) {
	uniform := make([]int32, 0, len(tab.sets)) // places in tab.sets of the uniform groups
	tab.rowStart = make([]int32, tab.rows()+1)
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
			tab.mixedRow = append(tab.mixedRow, tab.setRow[i:j]...)
			tab.mixed = append(tab.mixed, mixedGroup{group, start, start + int32(j-i)})
		}
		i = j
	}
	for r := range tab.rows() {
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
