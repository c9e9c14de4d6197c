package stock

import (
	"slices"

	"sootsayer/kb"
)

// PartUses is what a base expects of a part in the jobs of one family.
type PartUses struct {
	Part   string
	PerJob float64 // chance that a job takes it
	Pieces float64 // mean pieces of a use
}

// UsesPerJob lists by part what a job of the model's family is expected to take,
// before anything of the job is known: over its causes and what they bring along,
// the share of the cause times the chance of the part in its fix. A job takes a
// part once, however many of its fixes want it, in as many pieces as the wanting
// fix that is likeliest.  Jobs whose cause is not listed take nothing that is
// known.
func UsesPerJob(m *kb.Model) []PartUses {
	first := make(map[string]float64) // by part, of the root cause and its effects
	pieces := make(map[string][2]float64)
	for i := range m.Causes {
		c := &m.Causes[i]
		left := make(map[string]float64) // chance that no fix of the job wants it
		var fixes []int
		want := func(fix int, chance float64) {
			if slices.Contains(fixes, fix) {
				return
			}
			fixes = append(fixes, fix)
			for _, u := range m.Fixes[fix].Parts {
				p, ok := left[u.Part]
				if !ok {
					p = 1
				}
				left[u.Part] = p * (1 - chance*u.Chance)
				w := pieces[u.Part]
				pieces[u.Part] = [2]float64{w[0] + c.Share*chance*u.Chance, w[1] + c.Share*chance*u.Chance*u.Qty}
			}
		}
		want(c.Fix, 1)
		for _, e := range c.Effects {
			want(m.Causes[e.Cause].Fix, e.P)
		}
		for part, p := range left {
			first[part] += c.Share * (1 - p)
		}
	}
	list := make([]PartUses, 0, len(first))
	for part, p := range first {
		// A second, independent fault wants it with the same chance.
		u := PartUses{Part: part, PerJob: (1 - m.Unlisted) * (p + m.SecondFault*p*(1-p)), Pieces: 1}
		if w := pieces[part]; w[0] > 0 {
			u.Pieces = w[1] / w[0]
		}
		list = append(list, u)
	}
	slices.SortFunc(list, func(a, b PartUses) int {
		if a.Part < b.Part {
			return -1
		}
		return 1
	})
	return list
}

// PiecesOf returns the distribution of the pieces of one use with a mean: the
// two whole numbers about it, and at least one piece.
func PiecesOf(mean float64) Distribution {
	mean = max(1, mean)
	low := int(mean)
	d := Certain(low)
	if part := mean - float64(low); part > 0 {
		d[low] = 1 - part
		d = append(d, part)
	}
	return d
}

// LearnPieces returns the distribution of the pieces of one use after uses were
// seen: a Dirichlet prior about what was expected, worth so many uses, and the
// counts by number of pieces.
func LearnPieces(expected Distribution, worth float64, byPieces []int) Distribution {
	d := make(Distribution, max(len(expected), len(byPieces)))
	for n, p := range expected {
		d[n] = worth * p
	}
	for n, uses := range byPieces {
		if n > 0 {
			d[n] += float64(uses)
		}
	}
	var sum float64
	for _, p := range d {
		sum += p
	}
	if !(sum > 0) {
		return expected
	}
	return d.normalised()
}

// FamilyUses is what the jobs of one family are expected to take of a part.
type FamilyUses struct {
	Rate   *JobRate
	PerJob float64  // see PartUses
	Done   *History // the jobs that came, by month; nil when they are not known
}

// in returns the uses expected of a month: by its jobs, else by their rate.
func (f *FamilyUses) in(m Month) float64 {
	if f.Done != nil {
		if i := int(m - f.Done.First); i >= 0 && i < len(f.Done.Pieces) && f.Done.Pieces[i] >= 0 {
			return f.PerJob * float64(f.Done.Pieces[i])
		}
	}
	return f.PerJob * f.Rate.Mean() * f.Rate.Season.At(m)
}

// Knowledge forecasts a part from what the base knows: jobs that come x causes x
// parts their fixes take. Uses in a month are Poisson, their mean what the base
// expects of the month's jobs times a factor that is Gamma distributed about 1
// and worth Strength average months; the uses seen move it. Each use takes
// Pieces. What is ahead is the compound sum by Panjer's recursion, its uses
// negative binomial, as uncertain as the factor and the rates of jobs are
// together. A part that never sold has a forecast all the same.
type Knowledge struct {
	Families []FamilyUses
	Pieces   Distribution // of one use; one piece when empty
	Strength float64      // in average months
	Keep     float64      // what a month counts less than the one after it; 1 when 0
}

// Name returns knowledge.
func (*Knowledge) Name() string { return "knowledge" }

// Monthly returns the uses expected of an average month, before any was seen.
func (k *Knowledge) Monthly() float64 {
	var sum float64
	for i := range k.Families {
		sum += k.Families[i].PerJob * k.Families[i].Rate.Mean()
	}
	return sum
}

// Begin starts on a part.
func (k *Knowledge) Begin() Track {
	t := &knowledgeTrack{Knowledge: k, pieces: k.Pieces, keep: k.Keep}
	if len(t.pieces) == 0 {
		t.pieces = Certain(1)
	}
	if t.keep == 0 {
		t.keep = 1
	}
	t.mean = t.pieces.Mean()
	t.prior = max(0, k.Strength*k.Monthly())
	return t
}

type knowledgeTrack struct {
	*Knowledge
	pieces         Distribution
	mean, keep     float64
	prior          float64 // uses that the prior is worth
	uses, expected float64 // seen, and what was expected of the same months
}

func (t *knowledgeTrack) See(o Observed) {
	t.uses *= t.keep
	t.expected *= t.keep
	switch {
	case o.Uses >= 0:
		t.uses += float64(o.Uses)
	case o.Pieces >= 0:
		t.uses += float64(o.Pieces) / t.mean
	default:
		return
	}
	for i := range t.Families {
		t.expected += t.Families[i].in(o.Month)
	}
}

func (t *knowledgeTrack) Ahead(spans []Span, buffer Distribution) Distribution {
	var mean, variance float64
	for i := range t.Families {
		f := &t.Families[i]
		jobs := f.Rate.Over(spans)
		uses := f.PerJob * jobs.Mean
		mean += uses
		if jobs.Shape > 0 {
			variance += uses * uses / jobs.Shape
		}
	}
	shape, rate := t.prior+t.uses, t.prior+t.expected
	if !(mean > 0) || !(rate > 0) || !(shape > 0) {
		return append(buffer[:0], 1)
	}
	// The square of the relative spread of a product of independent factors.
	spread := (1+1/shape)*(1+variance/(mean*mean)) - 1
	return append(buffer[:0], Compound(Uses{1 / spread, mean * shape / rate}, t.pieces)...)
}
