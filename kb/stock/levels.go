package stock

// Levels follows each part through levels of demand that all parts share, such
// as none, rare, now and then, one a month, in pairs. What a month brings at
// each level, and how parts move from one level to another (taken up, wearing
// in, dying out), is learned from all parts together; of one part only its level
// has to be found. It is a hidden Markov model with the parts as its sequences
// (Baum, Petrie, Soules and Weiss 1970, Ann. Math. Statistics 41:164-171;
// Zucchini and MacDonald, Hidden Markov Models for Time Series, 2nd ed. 2016).
//
// A month with a share e of the busiest month's season brings with chance e what
// the level brings in that, else nothing.
type Levels struct {
	Season Season
	States int
	// First[k] is the chance that a part starts at level k; Move[j*States+k] that
	// it goes from j to k from one month to the next; Brings[k*Outputs+n] that
	// level k brings n pieces in a busiest month, the last standing for all above.
	First, Move, Brings []float64
	// coming are, by level, the numbers of pieces expected of the future that have
	// a chance.
	coming [][]outcome
}

// outcome is a number of pieces and its chance.
type outcome struct {
	pieces int
	chance float64
}

// leastBrought is the chance below which a number of pieces is not expected.
const leastBrought = 1e-6

// Coming returns levels of whose demand only a share comes from now on, or more
// than all for a share above 1: each piece is thinned (see [Distribution.Thinned]).
func (l *Levels) Coming(share float64) *Levels {
	c := *l
	c.coming = make([][]outcome, l.States)
	for k := range c.coming {
		row := make(Distribution, Outputs)
		for n, p := range Distribution(l.Brings[k*Outputs : (k+1)*Outputs]).Thinned(share) {
			row[min(n, Outputs-1)] += p
		}
		for n, p := range row {
			if p < leastBrought {
				row[n] = 0
			}
		}
		for n, p := range row.normalised() {
			if p > 0 {
				c.coming[k] = append(c.coming[k], outcome{n, p})
			}
		}
	}
	return &c
}

// Outputs is how many numbers of pieces in a month a level tells apart.
const Outputs = 41

// Name returns levels.
func (*Levels) Name() string { return "levels" }

// Begin starts on a part.
func (l *Levels) Begin() Track {
	if l.coming == nil {
		l = l.Coming(1)
	}
	return &levelsTrack{Levels: l, at: make([]float64, l.States), next: make([]float64, l.States), peak: l.Season.Peak()}
}

type levelsTrack struct {
	*Levels
	at, next   []float64 // chances of the levels in the last month; room
	month      Month     // the last month
	begun      bool
	peak       float64
	sums, room []float64 // room for Ahead
}

// goTo moves the chances of the levels to a later month.
func (t *levelsTrack) goTo(m Month) {
	if !t.begun {
		copy(t.at, t.First)
		t.begun, t.month = true, m
	}
	for ; t.month < m; t.month++ {
		t.step(t.next, t.at)
		t.at, t.next = t.next, t.at
	}
}

// step writes where the levels are a month later.
func (l *Levels) step(to, from []float64) {
	clear(to)
	for j, p := range from {
		if p == 0 {
			continue
		}
		for k, q := range l.Move[j*l.States : (j+1)*l.States] {
			to[k] += p * q
		}
	}
}

func (t *levelsTrack) See(o Observed) {
	t.goTo(o.Month)
	if o.Pieces < 0 {
		return
	}
	e := t.seen(o.Month)
	n := min(o.Pieces, Outputs-1)
	var sum float64
	for k := range t.at {
		t.at[k] *= thinned(t.Brings[k*Outputs+n], e, n)
		sum += t.at[k]
	}
	if sum <= 0 { // no level brings that: nothing was learned
		copy(t.at, t.First)
		return
	}
	for k := range t.at {
		t.at[k] /= sum
	}
}

// leastSeason is what share of a busiest month's demand is thought possible even
// in months in which the season has none, so that no past is impossible.
const leastSeason = 0.01

// seen is what share of a busiest month's demand a past month brought.
func (l *Levels) seen(m Month) float64 { return max(leastSeason, l.Season.At(m)/l.Season.Peak()) }

// thinned is the chance of n pieces where with chance e a level brings what it
// does, n with chance p.
func thinned(p, e float64, n int) float64 {
	if n == 0 {
		return 1 - e + e*p
	}
	return e * p
}

// Ahead adds up month after month the chances of every sum of pieces together
// with the level at which it was reached.
func (t *levelsTrack) Ahead(spans []Span, buffer Distribution) Distribution {
	if len(spans) == 0 {
		return append(buffer[:0], 1)
	}
	// The part stays where it was last seen.
	ahead := levelsTrack{Levels: t.Levels, month: t.month, begun: t.begun}
	ahead.at, ahead.next = append(t.sums[:0], t.at...), grow(t.room, t.States)
	ahead.goTo(spans[0].Month)
	sums, room := ahead.at, ahead.next
	if len(spans) == 1 {
		buffer = t.oneMonth(sums, t.share(spans[0]), buffer)
	} else {
		for i, s := range spans {
			if i > 0 {
				sums, room = t.moved(sums, room, int(s.Month-spans[i-1].Month))
			}
			sums, room = t.brought(sums, room, t.share(s)), sums
		}
		buffer = t.addedUp(sums, buffer[:0])
	}
	t.sums, t.room = sums, room
	return buffer
}

// share is what share of a busiest month's demand a span brings.
func (t *levelsTrack) share(s Span) float64 { return s.Share * t.Season.At(s.Month) / t.peak }

// addedUp writes the chances of the sums, at whatever level they are.
func (l *Levels) addedUp(sums []float64, buffer Distribution) Distribution {
	for n := 0; n < len(sums); n += l.States {
		var p float64
		for _, q := range sums[n : n+l.States] {
			p += q
		}
		buffer = append(buffer, p)
	}
	return buffer.normalised().trimmed()
}

func grow(room []float64, n int) []float64 {
	if cap(room) < n {
		return make([]float64, n)
	}
	return room[:n]
}

// oneMonth writes what a month brings at the levels, thinned to a share e of it.
func (l *Levels) oneMonth(at []float64, e float64, buffer Distribution) Distribution {
	d := Distribution(grow(buffer, Outputs))
	clear(d)
	for k, p := range at {
		for _, o := range l.coming[k] {
			d[o.pieces] += e * p * o.chance
		}
	}
	d[0] += 1 - e
	return d.normalised().trimmed()
}

// moved moves every row of levels, one for each sum of pieces, by some months.
func (l *Levels) moved(sums, room []float64, months int) (moved, left []float64) {
	for range months {
		room = grow(room, len(sums))
		for n := 0; n < len(sums); n += l.States {
			l.step(room[n:n+l.States], sums[n:n+l.States])
		}
		sums, room = room, sums
	}
	return sums, room
}

// leastKept is the chance below which a sum of pieces is not followed further.
const leastKept = 1e-12

// brought adds what a month brings to every sum of pieces.
func (l *Levels) brought(sums, room []float64, e float64) []float64 {
	k := l.States
	room = grow(room, len(sums)+(Outputs-1)*k)
	clear(room)
	for n := 0; n < len(sums); n += k {
		for j, p := range sums[n : n+k] {
			if p < leastKept {
				continue
			}
			room[n+j] += p * (1 - e)
			p *= e
			for _, o := range l.coming[j] {
				room[n+o.pieces*k+j] += p * o.chance
			}
		}
	}
	end := len(room)
	for end > k {
		var p float64
		for _, q := range room[end-k : end] {
			p += q
		}
		if p > leastKept {
			break
		}
		end -= k
	}
	return room[:end]
}
