package stock

// NewForecaster learns from all parts of a shop what they share: the season,
// how fast to forget, the levels of demand, and how well each method does. Of
// many parts a sample chosen by name is enough; the order of parts does not
// matter.
func NewForecaster(parts []History, o Options) *Forecaster {
	o.Workers = max(1, o.Workers)
	f := &Forecaster{options: o}
	if o.Season != nil {
		f.season = *o.Season
	} else {
		f.season = LearnSeason(parts)
	}
	some := sample(parts, fitParts)
	for _, of := range f.variants(byPart(parts)) {
		f.methods = append(f.methods, f.bestOf(some, of))
	}
	// The published methods stay as they were published.
	pooled := *f.methods[len(f.methods)-1].(*Pooled)
	pooled.Comes = f.calibrated(some, &pooled)
	f.methods[len(f.methods)-1] = &pooled
	levels := FitLevels(some, f.season, o.Workers).Coming(1)
	f.methods = append(f.methods, levels.Coming(f.calibrated(some, levels)))
	f.compare(some)
	return f
}

// usual is the spread of demand about a forecast where nothing is known of it,
// worth some pieces: on an open set of car parts any ratio from 1 to 2 worth 5
// to 20 pieces did as well, and both ends worse (Poisson, a part's own alone).
var usual = Dispersion{Ratio: 1.5, Worth: 10}

// variants lists each method with the factors that it is tried with, the usual
// ones first.
func (f *Forecaster) variants(parts []History) [][]Method {
	var croston, tsb, smoothing, discounted, pooled []Method
	for _, a := range []float64{0.1, 0.05, 0.2, 0.3} {
		croston = append(croston, Croston{Size: a, Interval: a, Dispersion: usual})
		smoothing = append(smoothing, Smoothing{a, usual})
		for _, size := range []float64{0.1, 0.3} {
			tsb = append(tsb, TSB{size, a, usual})
		}
	}
	for _, keep := range []float64{0.9, 0.85, 0.95, 0.98} {
		means := NewMonthlyMean(parts, f.season, keep)
		discounted = append(discounted, Discounted{keep, means.Before(means.First), 1, f.season})
		for _, worth := range []float64{3, 1, 6} {
			pooled = append(pooled, &Pooled{Keep: keep, Worth: worth, Means: means, Dispersion: usual, Season: f.season})
		}
	}
	return [][]Method{croston, tsb, smoothing, {SeasonalMean{usual}}, discounted, pooled}
}

// bestOf returns the variant of a method with the least pinball loss over all
// parts. Factors fitted to each part alone do worse: there is too little of it.
func (f *Forecaster) bestOf(parts []History, variants []Method) Method {
	var of [chunks][]float64
	inChunks(len(parts), f.options.Workers, func(chunk, from, to int) {
		of[chunk] = make([]float64, len(variants))
		var r rolling
		for i := from; i < to && len(variants) > 1; i++ {
			r.run(&parts[i], variants)
			addTo(of[chunk], r.sums)
		}
	})
	sums := of[0]
	for _, s := range of[1:] {
		addTo(sums, s)
	}
	best := 0
	for j, s := range sums {
		if s < sums[best]*(1-1e-9) {
			best = j
		}
	}
	return variants[best]
}

// candidates returns the methods for a part, those that know something of it
// last.
func (f *Forecaster) candidates(h *History) []Method {
	methods := append(make([]Method, 0, len(f.methods)+1), f.methods...)
	c := methods[0].(Croston)
	c.Correction = correctionFor(Regularity(h.Pieces))
	methods[0] = c
	if f.options.Knows != nil {
		if m, ok := f.options.Knows(h.Part); ok {
			methods = append(methods, m)
		}
	}
	return methods
}

// relativeBefore are the losses of the methods relative to their mean on an open
// set of car parts (carparts of the R package expsmooth, every second part,
// months 22 to 45), in the order of the candidates. Of knowledge that set says
// nothing: until the shop's own past speaks, what is known of the equipment is
// taken to be worth a little more than what is not. They are what a shop's own
// parts count against.
var relativeBefore = [...]float64{1, 0.93, 0.94, 1.41, 0.95, 0.9, 0.87, 0.86}

// worthBefore is how many months of one part relativeBefore is worth against all
// parts of the shop, and all parts against those of one class.
const worthBefore = 200

// comparison adds up how methods did, each against the mean of the methods that
// every part has.
type comparison struct{ lost, against, months [len(relativeBefore)]float64 }

func (c *comparison) add(r *rolling) {
	var all float64
	for _, s := range r.sums[:common] {
		all += s
	}
	for j, s := range r.sums {
		c.lost[j] += s
		c.against[j] += all / float64(common)
		c.months[j] += float64(r.months)
	}
}

func (c *comparison) plus(d *comparison) {
	addTo(c.lost[:], d.lost[:])
	addTo(c.against[:], d.against[:])
	addTo(c.months[:], d.months[:])
}

// common is how many methods every part has.
const common = len(relativeBefore) - 1

// relative returns the methods' losses relative to their mean, starting from
// what they were elsewhere.
func (c *comparison) relative(before []float64) []float64 {
	out := make([]float64, len(before))
	for j, b := range before {
		out[j] = b
		if c.against[j] > 0 {
			out[j] = (worthBefore*b + c.months[j]*c.lost[j]/c.against[j]) / (worthBefore + c.months[j])
		}
	}
	return out
}

// compare finds how well the methods do on all parts, and on those of each
// class.
func (f *Forecaster) compare(parts []History) {
	var of [chunks][kinds]comparison
	inChunks(len(parts), f.options.Workers, func(chunk, from, to int) {
		var r rolling
		for i := from; i < to; i++ {
			r.run(&parts[i], f.candidates(&parts[i]))
			of[chunk][ClassOf(parts[i].Pieces).kind()].add(&r)
		}
	})
	var byClass [kinds]comparison
	var all comparison
	for i := range of {
		for k := range byClass {
			byClass[k].plus(&of[i][k])
			if k != NeverSold.kind() { // where to expect nothing cannot be wrong yet
				all.plus(&of[i][k])
			}
		}
	}
	f.overall = all.relative(relativeBefore[:])
	for k := range byClass {
		f.relative[k] = byClass[k].relative(f.overall)
	}
}
