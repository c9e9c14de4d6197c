package stock

import "math"

// levelCounts are expected numbers of starts, moves and outputs.
type levelCounts struct {
	states              int
	first, move, brings []float64
	logLikelihood       float64
	months              float64
}

func newLevelCounts(states int) *levelCounts {
	return &levelCounts{states: states, first: make([]float64, states),
		move: make([]float64, states*states), brings: make([]float64, states*Outputs)}
}

// priorCounts are what the starting levels are worth.
func (l *Levels) priorCounts() *levelCounts {
	c := newLevelCounts(l.States)
	for i, p := range l.First {
		c.first[i] = firstWorth * p
	}
	for i, p := range l.Move {
		c.move[i] = stayWorth * p
	}
	for i, p := range l.Brings {
		c.brings[i] = bringsWorth * p
	}
	return c
}

func (c *levelCounts) add(d *levelCounts) {
	addTo(c.first, d.first)
	addTo(c.move, d.move)
	addTo(c.brings, d.brings)
	c.logLikelihood += d.logLikelihood
	c.months += d.months
}

func addTo(sum, x []float64) {
	for i, v := range x {
		sum[i] += v
	}
}

// levels returns the levels whose chances are as the counts.
func (c *levelCounts) levels(season Season) *Levels {
	rows := func(x []float64, n int) {
		for ; len(x) > 0; x = x[n:] {
			Distribution(x[:n]).normalised()
		}
	}
	rows(c.first, c.states)
	rows(c.move, c.states)
	rows(c.brings, Outputs)
	return &Levels{Season: season, States: c.states, First: c.first, Move: c.move, Brings: c.brings}
}

// counted returns the expected counts of all parts.
func (l *Levels) counted(parts []History, workers int) *levelCounts {
	var of [chunks]*levelCounts
	inChunks(len(parts), workers, func(chunk, from, to int) {
		w := levelsRoom{levelCounts: newLevelCounts(l.States)}
		for i := from; i < to; i++ {
			w.count(l, &parts[i])
		}
		of[chunk] = w.levelCounts
	})
	sum := of[0]
	for _, c := range of[1:] {
		sum.add(c)
	}
	return sum
}

// levelsRoom counts one part after another.
type levelsRoom struct {
	*levelCounts
	at, likely        []float64 // by month and level: chances given the past; of what was seen
	back, next, scale []float64
}

// count adds the expected counts of one part: forwards the chances of the levels
// given the past, backwards how well each goes with what came after.
func (w *levelsRoom) count(l *Levels, h *History) {
	n, k := len(h.Pieces), l.States
	if n == 0 {
		return
	}
	w.at, w.likely, w.scale = grow(w.at, n*k), grow(w.likely, n*k), grow(w.scale, n)
	w.back, w.next = grow(w.back, k), grow(w.next, k)
	w.forwards(l, h)
	for j := range w.back {
		w.back[j] = 1
	}
	for t := n - 1; t >= 0; t-- {
		w.outputs(l, h.at(t), w.at[t*k:(t+1)*k])
		if t == 0 {
			break
		}
		before, likely := w.at[(t-1)*k:t*k], w.likely[t*k:(t+1)*k]
		for j := range likely {
			likely[j] *= w.back[j] / w.scale[t]
		}
		for i, p := range before {
			row, counts := l.Move[i*k:(i+1)*k], w.move[i*k:(i+1)*k]
			var sum float64
			for j, q := range row {
				x := q * likely[j]
				counts[j] += p * x
				sum += x
			}
			w.next[i] = sum
		}
		w.back, w.next = w.next, w.back
	}
	for j := range w.back {
		w.first[j] += w.at[j] * w.back[j]
	}
}

func (w *levelsRoom) forwards(l *Levels, h *History) {
	k := l.States
	for t := range h.Pieces {
		at, likely := w.at[t*k:(t+1)*k], w.likely[t*k:(t+1)*k]
		if t == 0 {
			copy(at, l.First)
		} else {
			l.step(at, w.at[(t-1)*k:t*k])
		}
		y := h.Pieces[t]
		e := l.seen(h.First + Month(t))
		var sum float64
		for j := range at {
			likely[j] = 1
			if y >= 0 {
				n := min(y, Outputs-1)
				likely[j] = thinned(l.Brings[j*Outputs+n], e, n)
			}
			at[j] *= likely[j]
			sum += at[j]
		}
		w.scale[t] = sum
		for j := range at {
			at[j] /= sum
		}
		if y >= 0 {
			w.logLikelihood += math.Log(sum)
			w.months++
		}
	}
}

// outputs counts what a month brought, at the levels where it may have been.
// Where a month without use is only a share of a busiest one, that may have
// brought any number.
func (w *levelsRoom) outputs(l *Levels, o Observed, at []float64) {
	if o.Pieces < 0 {
		return
	}
	e := l.seen(o.Month)
	for j, p := range at {
		p *= w.back[j]
		brings, counts := l.Brings[j*Outputs:(j+1)*Outputs], w.brings[j*Outputs:(j+1)*Outputs]
		if o.Pieces > 0 || e >= 1 {
			counts[min(o.Pieces, Outputs-1)] += p
			continue
		}
		hidden := p * (1 - e) / (1 - e + e*brings[0])
		for n, q := range brings {
			counts[n] += hidden * q
		}
		counts[0] += p - hidden
	}
}
