package ranker

// table is an observable's outcome distribution for every set of causes. Sets
// without a row of the observable, most of them, share the normal row; the
// others are touched. Rows are kept once each, and for the ranking by the
// groups that have them:
//
//   - a group all of whose sets have the same row is uniform: it is listed under
//     that row, rowGroups[rowStart[r]:rowStart[r+1]], and its conditional
//     entropy is the row's, known beforehand;
//   - any other touched group is mixed: its sets are visited one by one.
type table struct {
	k       int       // number of outcomes
	normal  []float64 // k
	hNormal float64   // entropy of normal, in nats

	sets   []int32     // touched sets, ascending; the first is the unlisted cause
	setRow []int32     // row of each touched set; that of the unlisted cause is 0
	p      [][]float64 // by outcome, then by row: loops over rows read memory in order
	h      []float64   // entropy of each row, in nats

	keys     []int32 // rows of the observable behind each row here, row by row; none for the unlisted cause
	keyStart []int32 // by row, and one more: where its keys begin

	rowStart  []int32
	rowGroups []int32
	mixed     []mixedGroup
	mixedSet  []int32   // touched sets of the mixed groups, group by group
	mixedRow  []int32   // the row of each
	mixedP    []float64 // and what stands in it, stride values a set
	stride    int       // k, or 4 with zeroes behind for fewer outcomes
}

// mixedGroup is a group whose touched sets are table.mixedSet[start:end].
type mixedGroup struct{ group, start, end int32 }

// rows is the number of rows, that of the unlisted cause included.
func (tab *table) rows() int { return len(tab.keyStart) - 1 }

// nats returns the entropy -sum p ln p.
func nats(p []float64) float64 {
	var h float64
	for _, v := range p {
		h -= xlogx(v)
	}
	return max(0, h)
}
