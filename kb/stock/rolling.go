package stock

// rolling runs methods through a part's past and keeps their losses: at each of
// the last months each forecasts one month ahead from what came before it.
type rolling struct {
	tracks []Track
	sums   []float64 // of pinball losses, by method
	months int
	demand Distribution
	spans  [1]Span
}

// How much of the past the methods are judged by: the last judgedMonths, but not
// the first warmUp (or half of a shorter history).
const (
	judgedMonths = 24
	warmUp       = 6
)

// run takes the methods through the history.
func (r *rolling) run(h *History, methods []Method) {
	r.tracks, r.sums, r.months = r.tracks[:0], r.sums[:0], 0
	for _, m := range methods {
		r.tracks, r.sums = append(r.tracks, m.Begin()), append(r.sums, 0)
	}
	first := max(min(warmUp, len(h.Pieces)/2), len(h.Pieces)-judgedMonths)
	for i, y := range h.Pieces {
		o := h.at(i)
		if i >= first && y >= 0 {
			r.months++
			r.spans[0] = Span{o.Month, 1}
			for j, t := range r.tracks {
				r.demand = t.Ahead(r.spans[:], r.demand)
				r.sums[j] += r.demand.pinball(y)
			}
		}
		for _, t := range r.tracks {
			t.See(o)
		}
	}
}

// losses lists the mean losses a month, best's first.
func (r *rolling) losses(methods []Method, best int) []MethodLoss {
	if r.months == 0 {
		return nil
	}
	list := make([]MethodLoss, 0, len(methods))
	add := func(j int) {
		list = append(list, MethodLoss{methods[j].Name(), r.sums[j] / float64(r.months)})
	}
	add(best)
	for j := range methods {
		if j != best {
			add(j)
		}
	}
	return list
}
