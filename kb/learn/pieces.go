package learn

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"sootsayer/kb"
)

// countPieces counts the parts used by the fixes of each closing that states
// them: the fixes tried since the closing before it, and those done at it.
func (c *Counts) countPieces(job *kb.Job, fam *family, w worth) {
	for i := 0; i <= len(job.Past); i++ {
		closing := job.Closing
		if i < len(job.Past) {
			closing = &job.Past[i]
		}
		if closing.Used == nil {
			continue
		}
		done := c.jot.fixes[:0]
		for k := range job.Acts {
			a := &job.Acts[k]
			before := i > 0 && !a.At.After(job.Past[i-1].At)
			after := i < len(job.Past) && a.At.After(closing.At)
			if a.Tried != "" && !before && !after {
				done = appendOnce(done, c.base.fixes[a.Tried])
			}
		}
		done = c.doneAt(done, fam, closing)
		c.jot.fixes = done
		c.countUsed(done, closing.Used, fam.model.Family, w)
	}
}

// countUsed counts the parts used by some fixes, each done once.
func (c *Counts) countUsed(done []*fix, used map[string]float64, family string, w worth) {
	for _, f := range done {
		c.fixCounts(f.id).addTimes(family, Tally{Jobs: w.sign, Weight: w.done})
	}
	for part, qty := range used {
		if _, known := c.base.of.Part(part); !known {
			c.skip("part/"+part, w.sign)
		} else if qty > 0 && !math.IsInf(qty, 1) {
			c.placePart(done, part, qty, family, w)
		}
	}
	for _, f := range done {
		c.Fixes[f.id].tidyPieces(family)
		c.tidyFix(f.id)
	}
}

// placePart counts a part that was used to the fix that lists it. Several that
// do share it by their authored chances (one expectation step for a part that
// one of them used), alike where these are all 0. One that no fix lists is
// counted to the only fix that was done, else to Skipped.
func (c *Counts) placePart(done []*fix, part string, qty float64, family string, w worth) {
	var chances float64
	var listed int
	for _, f := range done {
		if use := f.use(family, part); use != nil {
			chances += use.Chance
			listed++
		}
	}
	if listed == 0 && len(done) != 1 {
		c.skip("part/"+part, w.sign)
		return
	}
	for _, f := range done {
		use, share := f.use(family, part), 1.0
		switch {
		case listed == 0:
		case use == nil:
			continue
		case chances > 0:
			share = use.Chance / chances
		default:
			share = 1 / float64(listed)
		}
		addUnder(c.Fixes[f.id].pieces(family).Parts, part, pieceKey(qty), Tally{Jobs: w.sign, Weight: w.done * share})
	}
}

// use is how the base lists a part for a fix on a family's equipment, nil where
// it does not.
func (f *fix) use(family, part string) *kb.PartUse {
	for i := range f.parts {
		if p := &f.parts[i]; p.Part == part && (len(p.Families) == 0 || kb.In(p.Families, family)) {
			return p
		}
	}
	return nil
}

// pieceKey is how a number of pieces stands in PieceCounts.Parts.
func pieceKey(qty float64) string { return strconv.FormatFloat(qty, 'g', -1, 64) }

// PieceTable is how many pieces of a part a fix takes on a family's equipment:
// a distribution that starts with the authored chance at the authored pieces,
// and with the rest at none, and is worth table_strength jobs (the mean of its
// Dirichlet posterior).
type PieceTable struct {
	Part     string        `json:"part"`
	Listed   bool          `json:"listed"`   // by the base
	Start    float64       `json:"start"`    // authored chance that it is used
	Chance   float64       `json:"chance"`   // that it is used now
	Mean     float64       `json:"mean"`     // pieces when it is used
	Pieces   []PieceChance `json:"pieces"`   // none first, then by number
	Jobs     int           `json:"jobs"`     // times that the fix was done and what was used was stated
	Weighted float64       `json:"weighted"` // what they weigh now
	Uses     float64       `json:"uses"`     // of these, those in which it was used
}

// PieceChance is the chance of a number of pieces.
type PieceChance struct {
	Pieces float64 `json:"pieces"`
	P      float64 `json:"p"`
}

// Pieces lists the parts that a fix takes on a family's equipment: those that
// the base lists, in its order, then by id others that were used with it. It
// returns nil for an unknown fix.
func (c *Counts) Pieces(b *kb.Base, family, fix string, now time.Time) []PieceTable {
	f, ok := b.Fix(fix)
	if !ok {
		return nil
	}
	counts := c.piecesOf(family, fix)
	var list []PieceTable
	for _, use := range f.PartsFor(family) {
		list = append(list, counts.table(use, b.Settings.TableStrength, c.Now(now)))
		list[len(list)-1].Listed = true
	}
	for _, part := range slices.Sorted(maps.Keys(counts.Parts)) {
		if slices.ContainsFunc(list, func(t PieceTable) bool { return t.Part == part }) {
			continue
		}
		if _, known := b.Part(part); known {
			list = append(list, counts.table(kb.PartUse{Part: part}, b.Settings.TableStrength, c.Now(now)))
		}
	}
	return list
}

func (c *Counts) piecesOf(family, fix string) *PieceCounts {
	if f := c.Fixes[fix]; f != nil && f.Pieces[family] != nil {
		return f.Pieces[family]
	}
	return &PieceCounts{}
}

// table works out how many pieces of one part are used.
func (p *PieceCounts) table(use kb.PartUse, strength, scale float64) PieceTable {
	times := p.Times.at(scale)
	t := PieceTable{Part: use.Part, Start: use.Chance, Jobs: p.Times.Jobs, Weighted: times}
	weight := map[float64]float64{use.Qty: strength * use.Chance}
	var used float64
	for key, tally := range p.Parts[use.Part] {
		if qty, err := strconv.ParseFloat(key, 64); err == nil {
			w := tally.at(scale)
			weight[qty] += w
			used += w
		}
	}
	t.Uses = min(used, times)
	t.Chance = posterior(strength, use.Chance, used, times).mean()
	all := strength*use.Chance + used
	t.Pieces = []PieceChance{{0, 1 - t.Chance}}
	t.Mean = use.Qty
	if !(all > 0) { // nothing is behind it: as authored
		if t.Chance > 0 {
			t.Pieces = append(t.Pieces, PieceChance{use.Qty, t.Chance})
		}
		return t
	}
	t.Mean = 0
	for _, qty := range slices.SortedFunc(maps.Keys(weight), cmp.Compare[float64]) {
		if w := weight[qty]; w > 0 {
			t.Pieces = append(t.Pieces, PieceChance{qty, t.Chance * w / all})
			t.Mean += qty * w / all
		}
	}
	return t
}

// moveParts moves the chance that each listed part of a fix is used, and its
// pieces to their mean. A part that the base does not list stays out: it is for
// a person to say that the fix takes it.
func (c *Counts) moveParts(m *kb.Model, strength, scale float64) {
	for i := range m.Fixes {
		f := &m.Fixes[i]
		counts := c.piecesOf(m.Family, f.ID)
		if counts.Times.Jobs <= 0 {
			continue
		}
		for j := range f.Parts {
			t := counts.table(f.Parts[j], strength, scale)
			f.Parts[j].Chance, f.Parts[j].Qty = t.Chance, t.Mean
		}
	}
}
