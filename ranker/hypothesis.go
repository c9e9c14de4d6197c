package ranker

import (
	"slices"

	"sootsayer/kb"
)

// maxPairCauses bounds the families for which pairs of independent causes are
// hypotheses: n causes make n(n-1)/2 pairs. Beyond it the second-fault share
// is counted to the single causes.
const maxPairCauses = 400

// hypotheses are the sets of causes that may be present, each once, with the
// prior chance that exactly this set was present when the job began. Sets that
// only arise when a tried fix took causes away have prior 0. Set 0 is the
// unlisted cause: no listed causes.
type hypotheses struct {
	causes [][]int32 // sorted cause indexes; empty for the unlisted cause
	prior  []float64
	roots  [][]rootMass
	pairs  bool // whether pairs of independent causes are among them
	frozen bool // no set is added; grew tells that one would have been
	grew   bool
	index  map[string]int32
	flat   []int32 // the causes of all sets one after another, once they are in order
	start  []int32 // by set, and one more: where its causes begin in flat
}

// rootMass is the part of a set's prior that started with the given cause as a
// root; a pair's two roots both count its whole mass.
type rootMass struct {
	cause int32
	mass  float64
}

// enumerate lists the hypotheses of the contract's section 4: the unlisted
// cause, every root with every set of effects it can bring along, and every
// pair of independent roots.
func enumerate(m *kb.Model) *hypotheses {
	h := &hypotheses{index: make(map[string]int32)}
	h.weigh(m)
	h.close(m)
	return h
}

// weigh adds the prior mass of every set.
func (h *hypotheses) weigh(m *kb.Model) {
	h.add(nil, m.Unlisted)
	var positive int
	var sumSquares float64
	for i := range m.Causes {
		if w := m.Causes[i].Share; w > 0 {
			positive++
			sumSquares += w * w
		}
	}
	second := m.SecondFault
	h.pairs = positive > 1 && positive <= maxPairCauses && second > 0
	if !h.pairs {
		second = 0
	}
	for c := range m.Causes {
		h.addRoot(m, c, (1-m.Unlisted)*(1-second)*m.Causes[c].Share)
	}
	if h.pairs {
		h.addPairs(m, (1-m.Unlisted)*second/((1-sumSquares)/2))
	}
}

// add adds mass to the set of causes, which must be sorted, with its roots.
func (h *hypotheses) add(causes []int32, mass float64, roots ...int32) int32 {
	var room [32]byte
	key := appendKey(room[:0], causes)
	s, known := h.index[string(key)]
	switch {
	case !known && h.frozen:
		h.grew = true
		return 0
	case !known:
		s = int32(len(h.causes))
		h.index[string(key)] = s
		h.causes = append(h.causes, slices.Clone(causes))
		h.prior = append(h.prior, 0)
		h.roots = append(h.roots, nil)
	}
	h.prior[s] += mass
	for _, r := range roots {
		i := slices.IndexFunc(h.roots[s], func(m rootMass) bool { return m.cause == r })
		if i < 0 {
			h.roots[s] = append(h.roots[s], rootMass{cause: r, mass: mass})
		} else {
			h.roots[s][i].mass += mass
		}
	}
	return s
}

func setKey(causes []int32) string { return string(appendKey(nil, causes)) }

func appendKey(b []byte, causes []int32) []byte {
	for _, c := range causes {
		b = append(b, byte(c), byte(c>>8), byte(c>>16), byte(c>>24))
	}
	return b
}

// addRoot adds every set that root c can bring about: going through the causes
// it reaches in topological order, each is present with probability
// 1 - prod(1 - leads_to) over its present parents.
func (h *hypotheses) addRoot(m *kb.Model, c int, mass float64) {
	order := reachable(m, c)
	absent := make([]float64, len(m.Causes)) // chance that no present parent brings it
	present := []int32{int32(c)}
	var walk func(i int, p float64)
	walk = func(i int, p float64) {
		if i == len(order) {
			set := slices.Clone(present)
			slices.Sort(set)
			h.add(set, p, int32(c))
			return
		}
		e := order[i]
		stays := absent[e]
		if stays > 0 {
			walk(i+1, p*stays)
		}
		if stays < 1 {
			present = append(present, int32(e))
			saved := multiplyAbsent(absent, m.Causes[e].Effects)
			walk(i+1, p*(1-stays))
			for k, eff := range m.Causes[e].Effects {
				absent[eff.Cause] = saved[k]
			}
			present = present[:len(present)-1]
		}
	}
	if len(order) == 0 {
		h.add(present, mass, int32(c))
		return
	}
	for _, e := range order {
		absent[e] = 1
	}
	multiplyAbsent(absent, m.Causes[c].Effects)
	walk(0, mass)
}

// multiplyAbsent lowers the chance of absence of each effect and returns the
// values before.
func multiplyAbsent(absent []float64, effects []kb.Effect) []float64 {
	saved := make([]float64, len(effects))
	for k, eff := range effects {
		saved[k] = absent[eff.Cause]
		absent[eff.Cause] *= 1 - eff.P
	}
	return saved
}

// reachable returns the causes that c leads to, in topological order.
func reachable(m *kb.Model, c int) []int {
	if len(m.Causes[c].Effects) == 0 {
		return nil
	}
	var order []int
	seen := map[int]bool{c: true}
	var visit func(int)
	visit = func(i int) {
		for _, e := range m.Causes[i].Effects {
			if !seen[e.Cause] {
				seen[e.Cause] = true
				visit(e.Cause)
				order = append(order, e.Cause)
			}
		}
	}
	visit(c)
	slices.Reverse(order)
	return order
}

func (h *hypotheses) addPairs(m *kb.Model, scale float64) {
	for a := range m.Causes {
		if m.Causes[a].Share <= 0 {
			continue
		}
		for b := a + 1; b < len(m.Causes); b++ {
			if m.Causes[b].Share > 0 {
				h.add([]int32{int32(a), int32(b)}, scale*m.Causes[a].Share*m.Causes[b].Share, int32(a), int32(b))
			}
		}
	}
}

// close adds, with prior 0, every set that is left of another when a fix takes
// some but not all of its causes away.
func (h *hypotheses) close(m *kb.Model) {
	for s := 0; s < len(h.causes); s++ {
		if len(h.causes[s]) < 2 {
			continue
		}
		for _, c := range h.causes[s] {
			left := without(m, h.causes[s], m.Causes[c].Fix)
			if len(left) > 0 {
				h.add(left, 0)
			}
		}
	}
}

// without returns the causes of a set that a fix does not treat.
func without(m *kb.Model, causes []int32, fix int) []int32 {
	var left []int32
	for _, c := range causes {
		if m.Causes[c].Fix != fix {
			left = append(left, c)
		}
	}
	return left
}
