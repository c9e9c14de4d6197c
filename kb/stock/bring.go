package stock

import (
	"cmp"
	"slices"
)

// Bring is what to load for one job before leaving, and what that is worth.
// Finished are chances that the first visit finishes the job.
type Bring struct {
	Parts    []BringPart // the likeliest to be needed first
	Truck    float64     // finished with what the truck carries
	Loaded   float64     // and with what is loaded
	Here     float64     // and with all there is on the shelf
	Anything float64     // whatever parts it takes
}

// BringPart is a part that a job may take.
type BringPart struct {
	Part        int     // its index
	Probability float64 // that the job takes it
	Pieces      int     // that will do in 95 of 100 of the cases in which it does
	OnTruck     int
	OnShelf     int
	Load        int // pieces to take along from the shelf
}

// usualPieces is the chance with which BringPart.Pieces will do.
const usualPieces = 0.95

// Usual returns the pieces of a part that will do in 95 of 100 of the cases in
// which any are taken; d is what is taken.
func Usual(d Distribution) int { return d.Quantile(1 - (1-d.At(0))*(1-usualPieces)) }

// candidates bounds how many needs are looked at for what to load next.
const candidates = 600

// NewBring works out what to load for a job: as few parts as will do to finish it
// on the first visit with at least a share of the chance that all there is on
// truck and shelf gives. Needed are the jobs that it may be, finished those of
// them that a fix cures for good; both sum to 1 at most. Step by step what gains
// most for each part loaded is added, and in the end what is not needed after
// all is left out.
func NewBring(needed, finished *Needs, onTruck, onShelf []int, share float64) Bring {
	stock := addUpPieces(onTruck, onShelf)
	b := Bring{Truck: finished.Filled(onTruck), Here: finished.Filled(stock), Anything: finished.Most()}
	l := newLoading(finished, onTruck, onShelf)
	l.until(b.Here*share - closeEnough)
	b.Loaded = finished.Filled(l.carry)
	for i, d := range needed.Taken(len(onTruck)) {
		p := 1 - d.At(0)
		if len(d) < 2 {
			continue
		}
		b.Parts = append(b.Parts, BringPart{Part: i, Probability: p, Pieces: Usual(d),
			OnTruck: onTruck[i], OnShelf: onShelf[i], Load: l.carry[i] - onTruck[i]})
	}
	slices.SortStableFunc(b.Parts, func(x, y BringPart) int { return cmp.Compare(y.Probability, x.Probability) })
	return b
}

func addUpPieces(a, b []int) []int {
	sum := slices.Clone(a)
	for i, n := range b {
		sum[i] = max(0, sum[i]) + max(0, n)
	}
	return sum
}

func grownTo(d Distribution, n int) Distribution {
	if n < len(d) {
		return d
	}
	return append(d, make(Distribution, n+1-len(d))...)
}

// loading is a truck on its way to being loaded.
type loading struct {
	all    *Needs
	few    []Need // those that can be finished with what there is, the most frequent
	truck  []int
	carry  []int
	onTop  []int // pieces of each part when all there is is carried
	filled float64
}

func newLoading(all *Needs, onTruck, onShelf []int) *loading {
	l := &loading{all: all, truck: onTruck, carry: slices.Clone(onTruck), onTop: addUpPieces(onTruck, onShelf)}
	for i := range all.Jobs {
		if len(l.few) < candidates && all.Jobs[i].metBy(l.onTop) {
			l.few = append(l.few, all.Jobs[i])
		}
	}
	l.filled = all.Filled(l.carry)
	return l
}

// until loads until the job is finished with at least a chance.
func (l *loading) until(target float64) {
	for l.filled < target {
		best := l.next()
		if best == nil { // what is left is too rare to have been looked at
			copy(l.carry, l.onTop)
			break
		}
		for _, t := range best {
			l.carry[t.Part] = t.Pieces
		}
		l.filled = l.all.Filled(l.carry)
	}
	l.leaveOut(target)
}

// next returns what finishes most more for each part that is added: all that one
// need misses.
func (l *loading) next() []Take {
	type gap struct {
		takes  []Take
		weight float64
	}
	var gaps []gap
	for i := range l.few {
		if missing := l.missing(&l.few[i]); len(missing) > 0 {
			gaps = append(gaps, gap{missing, l.few[i].Weight})
		}
	}
	var best []Take
	var bestRate float64
	for _, g := range gaps {
		var gain float64
		for _, other := range gaps {
			if covers(g.takes, other.takes) {
				gain += other.weight
			}
		}
		if rate := gain / float64(len(g.takes)); rate > bestRate {
			best, bestRate = g.takes, rate
		}
	}
	return best
}

// missing lists the parts that a need takes more of than is carried.
func (l *loading) missing(n *Need) []Take {
	var list []Take
	for _, t := range n.Takes {
		if l.carry[t.Part] < t.Pieces {
			list = append(list, t)
		}
	}
	return list
}

// covers tells whether what is in one list is also in the other, which is in the
// order of parts as well.
func covers(list, wanted []Take) bool {
	for _, t := range wanted {
		for len(list) > 0 && list[0].Part < t.Part {
			list = list[1:]
		}
		if len(list) == 0 || list[0].Part != t.Part || list[0].Pieces < t.Pieces {
			return false
		}
	}
	return true
}

// leaveOut takes out again what is not needed to reach the target: whole parts,
// the least missed first, then single pieces.
func (l *loading) leaveOut(target float64) {
	for {
		worst, least := -1, 0.0
		for i := range l.carry {
			if n := l.carry[i]; n > l.truck[i] {
				l.carry[i] = l.truck[i]
				if f := l.all.Filled(l.carry); f >= target && (worst < 0 || f > least) {
					worst, least = i, f
				}
				l.carry[i] = n
			}
		}
		if worst < 0 {
			break
		}
		l.carry[worst] = l.truck[worst]
	}
	least := min(target, l.all.Filled(l.carry)-closeEnough)
	for i := range l.carry {
		for l.carry[i] > l.truck[i] {
			l.carry[i]--
			if l.all.Filled(l.carry) < least {
				l.carry[i]++
				break
			}
		}
	}
}
