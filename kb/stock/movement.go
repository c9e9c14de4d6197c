package stock

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"
)

// MovementKind says what happened to the pieces of a part.
type MovementKind uint8

// The kinds of movements. Received, Used and Ordered may be negative, to put
// right what was written wrongly or to say that it was taken back.
const (
	Counted  MovementKind = iota + 1 // Qty pieces were found at Place
	Received                         // Qty pieces came in at Place, against what is on order
	Used                             // Qty pieces were taken at Place
	Moved                            // Qty pieces went from Place to To
	Ordered                          // Qty pieces were ordered; negative: cancelled
)

// Movement is one thing that happened to the pieces of a part. An empty Place is
// the [Shelf].
type Movement struct {
	At      time.Time
	ID      string // of the event; orders what happened in one moment
	Kind    MovementKind
	Part    string
	Qty     float64
	Place   string
	To      string // Moved: where to
	By      string
	Job     string // Used: the job that took them, if any
	Stretch int    // which stretch of the job took them, from an opening to a closing
	Family  string // of the job
}

// Compare orders movements by (at, id), the order in which they count whatever
// the order in which they arrived. The parts of one event follow by their ids.
func (m *Movement) Compare(n *Movement) int {
	return cmp.Or(m.At.Compare(n.At), strings.Compare(m.ID, n.ID), strings.Compare(m.Part, n.Part))
}

// InOrder returns the movements in the order in which they count; the list
// itself where it is in order already.
func InOrder(list []Movement) []Movement {
	by := func(a, b Movement) int { return a.Compare(&b) }
	if slices.IsSortedFunc(list, by) {
		return list
	}
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, by)
	return sorted
}

// tidy takes the noise off sums of pieces: a millionth of a piece is none.
func tidy(pieces float64) float64 { return math.Round(pieces*1e6) / 1e6 }
