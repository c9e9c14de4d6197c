// Package stock works out which parts a shop will need, when to order them, what
// a truck should carry and what to bring to a call.
//
// Everything is a distribution over numbers of pieces, never a bare average: a
// [Distribution] of the demand over some days, mixed over an uncertain lead
// time, decides a reorder point, and its tails say how often the shelf will be
// empty. Demand is known from two sides: from the base (jobs that will come x
// causes x the parts their fixes take), which also speaks for a part that never
// sold, and from what was used.
//
// The package is pure: it keeps no files, clock or network.
package stock
