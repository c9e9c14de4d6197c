package stock

import (
	"math"
	"slices"
)

// closure finds, for a price of what parts cost, the pieces whose gain less
// their price is highest. Gains are those of needs: a need gains its weight when
// all its pieces are carried, which is a project with requirements, and the best
// set of projects is the source's side of a minimum cut (Rhys 1970, Management
// Science 17:200-207; Balinski 1970, the same volume:230-231).
//
// Over a tour a need gains w prod_i A_i, A_i the chance that enough of part i is
// left. The product is at most the least A_i, and that is a sum of projects: one
// for each step from a level to the next, requiring of every part what reaches
// the level. So gains are exact for one job a tour, and never too low for more.
type closure struct {
	t        *tour
	projects []project
	first    []int32 // by part: the node of its first piece
	flow     flow
	runs     int // how many flows were worked out
}

// project gains weight when of each part at least so many pieces are carried.
type project struct {
	weight   float64
	requires []Take
}

func newClosure(t *tour) *closure {
	c := &closure{t: t}
	for n := range t.p.Needs {
		c.addNeed(&t.p.Needs[n])
	}
	nodes := int32(2 + len(c.projects))
	c.first = make([]int32, len(t.most))
	for i, most := range t.most {
		c.first[i] = nodes
		nodes += int32(most)
	}
	c.flow.reset(int(nodes))
	for p := range c.projects {
		c.flow.edge(source, int32(2+p))
		for _, take := range c.projects[p].requires {
			c.flow.edge(int32(2+p), c.piece(take.Part, take.Pieces))
		}
	}
	for i, most := range t.most {
		for k := 1; k <= most; k++ {
			if k > 1 {
				c.flow.edge(c.piece(i, k), c.piece(i, k-1))
			}
			c.flow.edge(c.piece(i, k), sink)
		}
	}
	c.flow.link()
	return c
}

// piece is the node of a part's k-th piece.
func (c *closure) piece(part, k int) int32 { return c.first[part] + int32(k) - 1 }

// addNeed adds the steps of a need as projects, equal ones of several jobs of
// the tour as one.
func (c *closure) addNeed(need *Need) {
	if len(need.Takes) == 0 || need.Weight <= 0 {
		return
	}
	for _, take := range need.Takes {
		if take.Pieces > c.t.most[take.Part] {
			return
		}
	}
	start := len(c.projects)
	for j := range c.t.p.Jobs {
		before := 0.0
		for _, level := range c.levels(need, j) {
			c.addStep(start, need.Weight*(level-before)/float64(c.t.p.Jobs), c.reaching(need, j, level))
			before = level
		}
	}
}

// levels are the chances that the least of a need's parts can have, upwards.
func (c *closure) levels(need *Need, j int) []float64 {
	var all []float64
	most := 1.0
	for _, take := range need.Takes {
		a := c.t.left[take.Part][j][:c.t.most[take.Part]-take.Pieces+1]
		all = append(all, a...)
		most = min(most, a[len(a)-1])
	}
	slices.Sort(all)
	all = slices.Compact(all)
	return slices.DeleteFunc(all, func(v float64) bool { return v > most || v <= 0 })
}

// reaching is what must be carried for every part to have at least a chance.
func (c *closure) reaching(need *Need, j int, level float64) []Take {
	out := make([]Take, len(need.Takes))
	for k, take := range need.Takes {
		slack := 0
		for c.t.left[take.Part][j][slack] < level {
			slack++
		}
		out[k] = Take{take.Part, take.Pieces + slack}
	}
	return out
}

func (c *closure) addStep(start int, weight float64, requires []Take) {
	for p := start; p < len(c.projects); p++ {
		if slices.Equal(c.projects[p].requires, requires) {
			c.projects[p].weight += weight
			return
		}
	}
	c.projects = append(c.projects, project{weight, requires})
}

// unit is how many units of flow a weight of 1 is; flows are whole numbers, so
// that a cut is exact.
const unit = 1e12

// closure returns the best pieces at a price, the fewest of several such sets,
// and their gain. With a price of +Inf nothing is carried but what is fixed.
func (c *closure) closure(price float64, f *fixed) (carry []int, gain float64) {
	c.runs++
	c.setCapacities(price, f)
	c.flow.run()
	carry = make([]int, len(c.t.most))
	for i, most := range c.t.most {
		if f != nil {
			carry[i] = f.in[i]
		}
		for k := carry[i] + 1; k <= most && c.flow.reached(c.piece(i, k)); k++ {
			carry[i] = k
		}
	}
	for p := range c.projects {
		if c.projects[p].met(carry) {
			gain += c.projects[p].weight
		}
	}
	return carry, gain
}

func (p *project) met(carry []int) bool {
	for _, take := range p.requires {
		if carry[take.Part] < take.Pieces {
			return false
		}
	}
	return true
}

// setCapacities follows the order in which the edges were added.
func (c *closure) setCapacities(price float64, f *fixed) {
	e := 0
	set := func(capacity int64) {
		c.flow.capacity(e, capacity)
		e++
	}
	for p := range c.projects {
		set(int64(math.Round(c.projects[p].weight * unit)))
		for range c.projects[p].requires {
			set(endless)
		}
	}
	for i, most := range c.t.most {
		cost := int64(math.Round(min(price*c.t.p.Parts[i].Cost*unit, float64(endless))))
		for k := 1; k <= most; k++ {
			if k > 1 {
				set(endless)
			}
			switch {
			case f != nil && k <= f.in[i]:
				set(0)
			case f != nil && k > f.out[i]:
				set(endless)
			default:
				set(cost)
			}
		}
	}
}
