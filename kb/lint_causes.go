package kb

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// maxReach is how many causes one cause may bring along, directly or through
// others, in one family: belief goes through all their subsets.
const maxReach = 12

// causes examines shares and what causes lead to.
func (l *linter) causes() {
	weight := make(map[string]float64, len(l.b.Families))
	each(l.b.Causes, func(c *Cause) {
		for f, w := range c.Share {
			weight[f] += w
		}
		l.component(c)
		l.effects(c)
	})
	each(l.b.Families, func(f *Family) {
		if !(weight[f.ID] > 0) && !l.b.loaded.partial {
			l.wrong(f, valueAt(), "no cause has a share above zero in it", "give its causes shares")
		}
	})
	l.cycles()
	each(l.b.Causes, l.reach)
}

// component warns of a cause in a family in which its component does not occur.
func (l *linter) component(c *Cause) {
	comp, ok := l.b.Component(c.Component)
	if !ok {
		return
	}
	for _, f := range sortedKeys(c.Share) {
		if !In(comp.Families, f) && l.has("families", f) {
			l.doubt(c, keyAt("share", f), fmt.Sprintf("component %q is not listed for family %q", comp.ID, f), "add the family to the component or take the share out")
		}
	}
}

// effects warns of effects that can never be reached.
func (l *linter) effects(c *Cause) {
	for _, id := range sortedKeys(c.LeadsTo) {
		e, ok := l.b.Cause(id)
		if !ok || e == c {
			continue
		}
		if !sharesFamily(e, sortedKeys(c.Share)) {
			l.doubt(c, keyAt("leads_to", id), fmt.Sprintf("it leads to cause %q, which has no share in any family of this one", id), "take it out or give that cause a share")
		}
	}
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// cycles reports each cycle in leads_to that a depth-first search closes.
func (l *linter) cycles() {
	const fresh, open, done = 0, 1, 2
	state := make(map[string]int, len(l.b.Causes))
	var path []string
	var visit func(id string)
	visit = func(id string) {
		c, ok := l.b.Cause(id)
		if !ok {
			return
		}
		state[id] = open
		path = append(path, id)
		for _, next := range sortedKeys(c.LeadsTo) {
			switch state[next] {
			case fresh:
				visit(next)
			case open:
				l.wrong(c, keyAt("leads_to", next), "causes lead to one another in a circle: "+l.circle(path, next), "take one of these steps out")
			}
		}
		path = path[:len(path)-1]
		state[id] = done
	}
	each(l.b.Causes, func(c *Cause) {
		if state[c.ID] == fresh {
			visit(c.ID)
		}
	})
}

// circle writes the end of a path that comes back to a cause on it, long ones
// with their middle left out.
func (l *linter) circle(path []string, back string) string {
	if len(l.errors.problems) >= maxProblems {
		return back // not shown
	}
	loop := slices.Clone(path[slices.Index(path, back):])
	if len(loop) > 12 {
		loop = append(append(loop[:6], "..."), loop[len(loop)-5:]...)
	}
	return strings.Join(append(loop, back), " -> ")
}

// reach reports a cause that brings along more causes than belief can go
// through, in a family.
func (l *linter) reach(c *Cause) {
	if len(c.LeadsTo) == 0 {
		return
	}
	for _, f := range sortedKeys(c.Share) {
		seen := map[string]bool{c.ID: true}
		queue := []*Cause{c}
		for len(queue) > 0 && len(seen) <= maxReach+1 {
			for id, p := range queue[0].LeadsTo {
				e, ok := l.b.Cause(id)
				if !ok || seen[id] || p <= 0 {
					continue
				}
				if _, in := e.Share[f]; in {
					seen[id] = true
					queue = append(queue, e)
				}
			}
			queue = queue[1:]
		}
		if len(seen) > maxReach+1 {
			l.wrong(c, valueAt("leads_to"), fmt.Sprintf("it brings along more than %d other causes in family %q, directly or through others", maxReach, f), "take the least likely effects out")
			return
		}
	}
}
