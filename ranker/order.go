package ranker

import (
	"cmp"
	"math"
	"slices"
)

// fewRates is up to how many rates a comparing sort beats sorting by digits.
const fewRates = 1000

// sortRates puts s.rates in the order of the list: falling bits per minute, ties
// by id, held ones last. ID is the rank of each observable's id.
func (s *scratch) sortRates(id []int32) {
	if len(s.rates) <= fewRates {
		slices.SortFunc(s.rates, func(a, b rate) int {
			return cmp.Or(cmp.Compare(min(a.held, 0), min(b.held, 0)), cmp.Compare(b.perMinute, a.perMinute), cmp.Compare(id[a.obs], id[b.obs]))
		})
		return
	}
	s.sortByDigits(id)
}

// sortByDigits is sortRates in linear time: the rates are laid out by id, then
// sorted by the eight bytes of their key from the last to the first, each pass
// stable (Knuth, The Art of Computer Programming, vol. 3, section 5.2.5). The
// bits of floats that are not negative stand in the order of their values.
func (s *scratch) sortByDigits(id []int32) {
	n := len(s.rates)
	s.byID = slices.Grow(s.byID[:0], len(id))[:len(id)]
	for i := range s.byID {
		s.byID[i] = -1
	}
	for i := range s.rates {
		s.byID[id[s.rates[i].obs]] = int32(i)
	}
	s.keys = slices.Grow(s.keys[:0], 2*n)[:2*n]
	from, to := s.keys[:0:n], s.keys[n:]
	for _, i := range s.byID {
		if i >= 0 {
			from = append(from, rateKey{key: s.rates[i].key(), at: i})
		}
	}
	for shift := 0; shift < 64; shift += 8 {
		var start [256]int32
		for i := range from {
			start[byte(from[i].key>>shift)]++
		}
		var sum int32
		for d, count := range start {
			start[d] = sum
			sum += count
		}
		for _, k := range from {
			d := byte(k.key >> shift)
			to[start[d]] = k
			start[d]++
		}
		from, to = to, from
	}
	s.sorted = slices.Grow(s.sorted[:0], n)[:n]
	for i, k := range from {
		s.sorted[i] = s.rates[k.at]
	}
	s.rates, s.sorted = s.sorted, s.rates
}

// rateKey is a rate's place in s.rates with its key, smallest first.
type rateKey struct {
	key uint64
	at  int32
}

// key falls with the rate, and has its first bit set when the check is held.
func (r *rate) key() uint64 {
	key := math.Float64bits(r.perMinute) ^ (1<<63 - 1) // the sign bit is free: rates are not negative
	if r.held >= 0 {
		key |= 1 << 63
	}
	return key
}
