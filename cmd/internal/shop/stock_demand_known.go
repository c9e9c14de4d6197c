package shop

import (
	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// known is what a base expects of parts, from the calls of its families.
type known struct {
	base *kb.Base
	of   map[string]*partKnown
}

type partKnown struct {
	families []stock.FamilyUses
	pieces   float64 // of all uses expected of an average month
	uses     float64
}

func newKnown(b *kb.Base) *known { return &known{base: b, of: make(map[string]*partKnown)} }

// add counts a family whose calls come at a rate.
func (k *known) add(m *kb.Model, f *FamilyDemand) {
	calls := f.Rate.Mean()
	if !(calls > 0) {
		return
	}
	for _, u := range stock.UsesPerJob(m) {
		x := k.of[u.Part]
		if x == nil {
			x = new(partKnown)
			k.of[u.Part] = x
		}
		x.families = append(x.families, stock.FamilyUses{Rate: &f.Rate, PerJob: u.PerJob, Done: &f.Jobs})
		x.pieces, x.uses = x.pieces+u.PerJob*calls*u.Pieces, x.uses+u.PerJob*calls
	}
}

// expectedPieces are those of one use of a part, before any was seen.
func (k *known) expectedPieces(part string) stock.Distribution {
	if x := k.of[part]; x != nil && x.uses > 0 {
		return stock.PiecesOf(x.pieces / x.uses)
	}
	return stock.Certain(1)
}

// method forecasts a part from what is known of it, false where that is nothing.
func (k *known) method(part string, pieces stock.Distribution) (stock.Method, bool) {
	x := k.of[part]
	if x == nil {
		return nil, false
	}
	return &stock.Knowledge{Families: x.families, Pieces: pieces, Strength: k.base.Settings.StockStrength, Keep: keepAMonth(k.base)}, true
}
