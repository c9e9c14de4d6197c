package kb

import (
	"fmt"
	"hash/maphash"
	"math"
	"slices"
	"strings"
)

// maxGroupsTried bounds how many groups a cause is compared with.
const maxGroupsTried = 32

// ambiguity warns of causes that no symptom or check tells apart although
// their fixes differ: nothing the program can advise decides between them.
// Causes without a row anywhere are such a group.
func (l *linter) ambiguity(views []view) {
	if l.b.loaded.partial {
		return
	}
	found := map[string][]string{} // ids of a group -> its families
	var order [][]*Cause
	for _, v := range views {
		for _, g := range v.alike() {
			if !slices.ContainsFunc(g, func(c *Cause) bool { return c.Fix != g[0].Fix }) {
				continue
			}
			key := groupKey(g)
			if found[key] == nil {
				order = append(order, g)
			}
			found[key] = append(found[key], v.family)
		}
	}
	for _, g := range order {
		l.doubt(g[0], valueAt(), fmt.Sprintf("no symptom or check tells it from %s in %s, and their fixes differ", others(g), strings.Join(found[groupKey(g)], " and ")),
			fmt.Sprintf("add a check, or rows that differ by more than %g", tellsApart))
	}
}

func groupKey(g []*Cause) string {
	return strings.Join(ids(g, func(c *Cause) string { return c.ID }), " ")
}

// others names the causes of a group but the first, the first few of them.
func others(g []*Cause) string {
	const most = 6
	var names []string
	for _, c := range g[1:min(len(g), most+1)] {
		names = append(names, fmt.Sprintf("%q", c.ID))
	}
	s := strings.Join(names, ", ")
	if more := len(g) - 1 - most; more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	return s
}

// alike returns the groups of two causes or more whose tables differ by at most
// tellsApart in every outcome of every symptom and check, from the group's
// first cause.
//
// Comparing all pairs would be quadratic, so it goes in two steps. The values
// that causes have in one outcome are sorted and cut wherever neighbours lie
// further apart than tellsApart; causes in different pieces are told apart for
// certain, so only those that share all pieces, found by a hash, can be alike.
// These are then compared with the first of each group so far.
func (v *view) alike() [][]*Cause {
	signature := v.signatures()
	rows := v.rowsByCause()
	groups := map[uint64][][]int{}
	var order []uint64
	for c := range v.causes {
		key := signature[c]
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = v.join(groups[key], c, rows)
	}
	var out [][]*Cause
	for _, key := range order {
		for _, members := range groups[key] {
			if len(members) < 2 {
				continue
			}
			g := make([]*Cause, len(members))
			for i, c := range members {
				g[i] = v.causes[c]
			}
			out = append(out, g)
		}
	}
	return out
}

// join adds a cause to the first group whose first cause is like it.
func (v *view) join(groups [][]int, c int, rows [][]ref) [][]int {
	for i := range groups {
		if i == maxGroupsTried {
			break
		}
		if v.same(rows[groups[i][0]], rows[c]) {
			groups[i] = append(groups[i], c)
			return groups
		}
	}
	return append(groups, []int{c})
}

// ref is one row of a cause: of which symptom or check, and the table.
type ref struct {
	seen int
	p    []float64
}

// rowsByCause lists the rows of each cause in the order of the symptoms and
// checks they are of.
func (v *view) rowsByCause() [][]ref {
	out := make([][]ref, len(v.causes))
	for i, o := range v.seen {
		for _, row := range o.Rows {
			out[row.Cause] = append(out[row.Cause], ref{i, row.P})
		}
	}
	return out
}

// same tells whether two causes have the same tables to tellsApart. A cause
// without a row has the table without causes.
func (v *view) same(a, b []ref) bool {
	for len(a) > 0 || len(b) > 0 {
		var p, q []float64
		switch {
		case len(b) == 0 || len(a) > 0 && a[0].seen < b[0].seen:
			p, q = a[0].p, v.seen[a[0].seen].Normally
			a = a[1:]
		case len(a) == 0 || b[0].seen < a[0].seen:
			p, q = b[0].p, v.seen[b[0].seen].Normally
			b = b[1:]
		default:
			p, q = a[0].p, b[0].p
			a, b = a[1:], b[1:]
		}
		for j := range p {
			if math.Abs(p[j]-q[j]) > tellsApart+sumTolerance {
				return false
			}
		}
	}
	return true
}

// signatures gives each cause a number that is the same for causes that share
// the piece of every outcome of every symptom and check.
func (v *view) signatures() []uint64 {
	seed := maphash.MakeSeed()
	out := make([]uint64, len(v.causes))
	for i, o := range v.seen {
		for j := range o.Outcomes {
			values := make([]float64, 0, len(o.Rows)+1)
			values = append(values, o.Normally[j])
			for _, row := range o.Rows {
				values = append(values, row.P[j])
			}
			pieces := cut(values)
			usual := pieces.of(o.Normally[j])
			for _, row := range o.Rows {
				if at := pieces.of(row.P[j]); at != usual {
					out[row.Cause] = maphash.Comparable(seed, [4]uint64{out[row.Cause], uint64(i), uint64(j), math.Float64bits(at)})
				}
			}
		}
	}
	return out
}

// pieces are the least values of the pieces of a sorted list, in order.
type pieces []float64

// cut sorts values and cuts them at gaps wider than tellsApart.
func cut(values []float64) pieces {
	slices.Sort(values)
	out := pieces{values[0]}
	for i := 1; i < len(values); i++ {
		if values[i]-values[i-1] > tellsApart+sumTolerance {
			out = append(out, values[i])
		}
	}
	return out
}

// of is the least value of the piece in which x lies.
func (p pieces) of(x float64) float64 {
	i, exact := slices.BinarySearch(p, x)
	if exact {
		return x
	}
	return p[i-1]
}
