package stock

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Unknown stands in a history for a month of which nothing is known, which is
// not the same as a month without use.
const Unknown = -1

// History is what was used of one part, by calendar month.
type History struct {
	Part  string
	First Month
	// Pieces[i] is the number of pieces taken in month First+i, or [Unknown].
	Pieces []int
	// Uses[i] is how often the part was taken in that month (one job, one visit to
	// the shelf), or Unknown. Nil where only pieces are known.
	Uses []int
	// ByPieces[n] is the number of uses that took n pieces, as far as that is
	// known of single uses.
	ByPieces []int
}

// Taken is one use of a part: one job, one visit to the shelf.
type Taken struct {
	Month  Month
	Pieces int
}

// Tally adds up the uses of a part over the months from first to last. Months
// without a use count as months in which nothing was taken. It refuses a use
// outside these months, and one of less than one piece.
func Tally(part string, first, last Month, taken []Taken) (History, error) {
	if last < first {
		return History{}, fmt.Errorf("part %q: the months end in %v, before they begin in %v; swap them", part, last, first)
	}
	h := History{Part: part, First: first, Pieces: make([]int, last-first+1), Uses: make([]int, last-first+1)}
	for _, u := range taken {
		switch {
		case u.Month < first || u.Month > last:
			return History{}, fmt.Errorf("part %q: a use in %v lies outside %v to %v; widen the months or leave it out", part, u.Month, first, last)
		case u.Pieces < 1:
			return History{}, fmt.Errorf("part %q: a use of %d pieces in %v; a use takes 1 or more", part, u.Pieces, u.Month)
		}
		h.Pieces[u.Month-first] += u.Pieces
		h.Uses[u.Month-first]++
		h.ByPieces = grown(h.ByPieces, u.Pieces)
		h.ByPieces[u.Pieces]++
	}
	return h, nil
}

// Histories adds up visits by part over the months from first to last, parts in
// the order of their names; a broken piece counts as a whole one. Visits outside
// these months are left out: the month that has just begun is no history yet.
func Histories(visits []Visit, first, last Month) ([]History, error) {
	taken := make(map[string][]Taken)
	for _, v := range visits {
		if m := MonthOf(v.At); m >= first && m <= last {
			taken[v.Part] = append(taken[v.Part], Taken{m, int(math.Ceil(v.Pieces))})
		}
	}
	list := make([]History, 0, len(taken))
	for _, part := range slices.Sorted(maps.Keys(taken)) {
		h, err := Tally(part, first, last, taken[part])
		if err != nil {
			return nil, err
		}
		list = append(list, h)
	}
	return list, nil
}

func grown(list []int, to int) []int {
	if to < len(list) {
		return list
	}
	return append(list, make([]int, to+1-len(list))...)
}

// Forget marks months of which nothing is known, such as months missing from a
// file. Months outside the history are left alone.
func (h *History) Forget(months ...Month) {
	for _, m := range months {
		i := int(m - h.First)
		if i < 0 || i >= len(h.Pieces) {
			continue
		}
		h.Pieces[i] = Unknown
		if h.Uses != nil {
			h.Uses[i] = Unknown
		}
	}
}

// Missing lists the months of which nothing is known, between the first and the
// last of the history.
func (h *History) Missing() []Month {
	var list []Month
	for i, n := range h.Pieces {
		if n < 0 {
			list = append(list, h.First+Month(i))
		}
	}
	return list
}

// Last returns the last month of the history; First-1 when it is empty.
func (h *History) Last() Month { return h.First + Month(len(h.Pieces)) - 1 }

// Known returns the number of months that are known, and of those in which
// something was used.
func (h *History) Known() (months, used int) {
	for _, n := range h.Pieces {
		if n >= 0 {
			months++
		}
		if n > 0 {
			used++
		}
	}
	return months, used
}

// Until returns the history up to and including a month. It shares the counts
// with h; what single uses took stays, for it is not known by month.
func (h *History) Until(last Month) History {
	n := min(max(0, int(last-h.First)+1), len(h.Pieces))
	cut := *h
	cut.Pieces = h.Pieces[:n]
	if h.Uses != nil {
		cut.Uses = h.Uses[:n]
	}
	return cut
}

// Check says what is wrong with a history: counts below Unknown, more uses than
// pieces, pieces without a use.
func (h *History) Check() error {
	if h.Uses != nil && len(h.Uses) != len(h.Pieces) {
		return fmt.Errorf("part %q has %d months of uses and %d of pieces; give both for every month", h.Part, len(h.Uses), len(h.Pieces))
	}
	for i, n := range h.Pieces {
		m := h.First + Month(i)
		if n < Unknown {
			return fmt.Errorf("part %q: %d pieces in %v; a count is 0 or more", h.Part, n, m)
		}
		if h.Uses != nil && (h.Uses[i] > n || h.Uses[i] < min(n, 1)) {
			return fmt.Errorf("part %q: %d uses of %d pieces in %v; a use takes 1 or more", h.Part, h.Uses[i], n, m)
		}
	}
	return nil
}

// byPart returns the histories in the order of their parts, so that sums over
// them do not depend on the order in which they were given.
func byPart(list []History) []History {
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b History) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.First, b.First), slices.Compare(a.Pieces, b.Pieces))
	})
	return sorted
}
