package stock

// The two ends of a flow network.
const (
	source int32 = 0
	sink   int32 = 1
)

// endless is a capacity that no cut crosses: more than all weights together.
const endless = int64(1) << 52

// flow is a network in which a maximum flow from source to sink is found (Dinic
// 1970). Edges are added once, their capacities set before every run.
type flow struct {
	nodes    int
	from, to []int32
	left     []int64 // by edge and by its reverse, 2e and 2e+1: what can still flow
	start    []int32 // by node: where its edges begin in out
	out      []int32 // edges 2e or 2e+1 leaving each node
	level    []int32
	next     []int32
	queue    []int32
	path     []int32
}

func (f *flow) reset(nodes int) { *f = flow{nodes: nodes} }

// edge adds an edge.
func (f *flow) edge(from, to int32) { f.from, f.to = append(f.from, from), append(f.to, to) }

// link makes the network ready once all edges are added.
func (f *flow) link() {
	f.start = make([]int32, f.nodes+1)
	for e := range f.from {
		f.start[f.from[e]+1]++
		f.start[f.to[e]+1]++
	}
	for n := range f.nodes {
		f.start[n+1] += f.start[n]
	}
	f.out = make([]int32, 2*len(f.from))
	at := append([]int32(nil), f.start...)
	for e := range f.from {
		f.out[at[f.from[e]]] = int32(2 * e)
		at[f.from[e]]++
		f.out[at[f.to[e]]] = int32(2*e + 1)
		at[f.to[e]]++
	}
	f.left = make([]int64, 2*len(f.from))
	f.level, f.next = make([]int32, f.nodes), make([]int32, f.nodes)
}

// capacity sets what may flow through an edge, given in the order of adding.
func (f *flow) capacity(edge int, capacity int64) { f.left[2*edge], f.left[2*edge+1] = capacity, 0 }

// head is the node that an edge or its reverse leads to.
func (f *flow) head(e int32) int32 {
	if e&1 == 0 {
		return f.to[e>>1]
	}
	return f.from[e>>1]
}

// run finds a maximum flow.
func (f *flow) run() {
	for f.layer() {
		copy(f.next, f.start)
		for f.augment() {
		}
	}
}

// layer gives every node its distance from the source, and tells whether the
// sink can be reached.
func (f *flow) layer() bool {
	for n := range f.level {
		f.level[n] = -1
	}
	f.level[source] = 0
	f.queue = append(f.queue[:0], source)
	for i := 0; i < len(f.queue); i++ {
		n := f.queue[i]
		for _, e := range f.out[f.start[n]:f.start[n+1]] {
			if h := f.head(e); f.left[e] > 0 && f.level[h] < 0 {
				f.level[h] = f.level[n] + 1
				f.queue = append(f.queue, h)
			}
		}
	}
	return f.level[sink] >= 0
}

// augment sends flow along one path to the sink, if there is one left in these
// layers.
func (f *flow) augment() bool {
	f.path = f.path[:0]
	for n := source; n != sink; {
		if f.next[n] == f.start[n+1] { // nothing leads on from here
			if n == source {
				return false
			}
			e := f.path[len(f.path)-1]
			f.path = f.path[:len(f.path)-1]
			n = f.head(e ^ 1)
			f.next[n]++
			continue
		}
		e := f.out[f.next[n]]
		if h := f.head(e); f.left[e] > 0 && f.level[h] == f.level[n]+1 {
			f.path = append(f.path, e)
			n = h
		} else {
			f.next[n]++
		}
	}
	most := endless
	for _, e := range f.path {
		most = min(most, f.left[e])
	}
	for _, e := range f.path {
		f.left[e] -= most
		f.left[e^1] += most
	}
	return true
}

// reached tells, after a run, whether a node is on the source's side of the
// minimum cut with the fewest nodes.
func (f *flow) reached(n int32) bool { return f.level[n] >= 0 }
