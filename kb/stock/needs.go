package stock

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// Repair is a kind of job by what cures it: fixes of a family's equipment, and
// how often it comes, as a share of all jobs. One without fixes is cured by
// nothing that is listed.
type Repair struct {
	Family string
	Fixes  []string
	Weight float64
}

// PartSet is a set of parts that a fix takes, in the order of their index, and
// how often it takes just these. It may be empty.
type PartSet struct {
	Takes  []Take
	Chance float64
}

// Needs are the jobs to come as a truck sees them.
type Needs struct {
	// Jobs are the kinds of jobs that parts can finish, the most frequent first
	// and no two with the same parts.
	Jobs []Need
	// Unlisted is the share of jobs that no listed fix cures, so that no parts
	// finish them. It and the weights of Jobs sum to those of the repairs.
	Unlisted float64
}

// NewNeeds works out which parts jobs take together. Each fix of a job takes one
// of its sets, on its own; where two of them take the same part it is taken once,
// in as many pieces as the fix that takes more: a filter is not replaced twice on
// one visit. That is all there is about parts taken together: a job's causes
// decide its fixes, and a fix its sets (see [CoUse]).
func NewNeeds(repairs []Repair, sets func(family, fix string) []PartSet) Needs {
	var n Needs
	c := newCollected()
	known := make(map[[2]string][]PartSet)
	for _, r := range repairs {
		if len(r.Fixes) == 0 {
			n.Unlisted += r.Weight
			continue
		}
		of := make([][]PartSet, len(r.Fixes))
		for i, fix := range r.Fixes {
			key := [2]string{r.Family, fix}
			s, there := known[key]
			if !there {
				s = sets(r.Family, fix)
				known[key] = s
			}
			of[i] = s
		}
		c.product(of, nil, r.Weight)
	}
	n.Jobs = c.needs
	slices.SortStableFunc(n.Jobs, func(a, b Need) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), slices.CompareFunc(a.Takes, b.Takes, compareTakes))
	})
	return n
}

func compareTakes(a, b Take) int {
	return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Pieces, b.Pieces))
}

// collected are needs, each set of parts once.
type collected struct {
	needs []Need
	at    map[string]int // by key: index into needs
	key   []byte
}

func newCollected() *collected { return &collected{at: make(map[string]int)} }

// product adds a need for every choice of one set of each fix.
func (c *collected) product(of [][]PartSet, takes []Take, weight float64) {
	if weight <= 0 {
		return
	}
	if len(of) == 0 {
		c.add(takes, weight)
		return
	}
	for _, s := range of[0] {
		c.product(of[1:], united(takes, s.Takes), weight*s.Chance)
	}
}

func (c *collected) add(takes []Take, weight float64) {
	c.key = takesKey(c.key[:0], takes)
	i, there := c.at[string(c.key)]
	if !there {
		i = len(c.needs)
		c.at[string(c.key)] = i
		c.needs = append(c.needs, Need{Takes: takes})
	}
	c.needs[i].Weight += weight
}

func takesKey(key []byte, takes []Take) []byte {
	for _, t := range takes {
		key = binary.AppendUvarint(binary.AppendUvarint(key, uint64(t.Part)), uint64(t.Pieces))
	}
	return key
}

// united is what two lists of pieces, both in the order of their parts, take
// together: of each part as many as the one that takes more.
func united(a, b []Take) []Take {
	if len(a) == 0 {
		return b
	}
	if len(b) == 0 {
		return a
	}
	all := make([]Take, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].Part < b[0].Part:
			all, a = append(all, a[0]), a[1:]
		case a[0].Part > b[0].Part:
			all, b = append(all, b[0]), b[1:]
		default:
			all = append(all, Take{a[0].Part, max(a[0].Pieces, b[0].Pieces)})
			a, b = a[1:], b[1:]
		}
	}
	return append(append(all, a...), b...)
}

// Filled is the share of jobs that a kit, pieces by part, finishes when it is
// filled up after each.
func (n *Needs) Filled(carry []int) float64 {
	var sum float64
	for i := range n.Jobs {
		if n.Jobs[i].metBy(carry) {
			sum += n.Jobs[i].Weight
		}
	}
	return sum
}

func (n *Need) metBy(carry []int) bool {
	for _, t := range n.Takes {
		if carry[t.Part] < t.Pieces {
			return false
		}
	}
	return true
}

// Most is the share of jobs that parts can finish, whatever is carried.
func (n *Needs) Most() float64 {
	var sum float64
	for i := range n.Jobs {
		sum += n.Jobs[i].Weight
	}
	return sum
}

// Taken returns, by part, the distribution of the pieces that one job takes, of so
// many parts. What the jobs do not weigh up to 1 takes nothing.
func (n *Needs) Taken(parts int) []Distribution {
	of := make([]Distribution, parts)
	for i := range n.Jobs {
		for _, t := range n.Jobs[i].Takes {
			of[t.Part] = grownTo(of[t.Part], t.Pieces)
			of[t.Part][t.Pieces] += n.Jobs[i].Weight
		}
	}
	for i, d := range of {
		var sum float64
		for _, p := range d {
			sum += p
		}
		if len(d) == 0 {
			of[i] = Certain(0)
		} else {
			d[0] = max(0, 1-sum)
		}
	}
	return of
}
