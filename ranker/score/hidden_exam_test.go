package score

import (
	"math/rand/v2"
	"slices"

	"sootsayer/ranker"
)

// exam are fresh troubles of the hidden truth in one era, each drawn from a seed
// of its own, so that it can be worked again by other advice and meet the same
// luck.
type exam struct {
	shop *shop
	era  int
	list []question
}

// question is a fresh trouble and the visit that found what forecasts are made
// of. The visit follows the advice of the model that is examined: findings
// chosen by who knows the truth would speak for the truth by having been chosen.
type question struct {
	model int
	visit *visit
	knows [2][]float64 // what the truth itself says, by moment
}

// Moments of a question. The second one is when the checks are over and the
// first fix is advised. It hangs on nothing that is known later only, as the
// end of the job would: at the fix that will turn out to cure.
const (
	atComplaint = iota
	atFirstFix
)

// newExam works n fresh troubles by the advice of engines, one for each model.
func (s *shop) newExam(era, n int, advice []*ranker.Engine) *exam {
	x := &exam{shop: s, era: era}
	for i := range n {
		q := question{model: i % len(s.plan.models)}
		w := s.truth.worlds[era][q.model]
		rng := rand.New(rand.NewPCG(s.plan.seed+1<<32, uint64(i)))
		q.visit = newVisit(s.tb, breakDown(rng, w), s.dispatch(rng), advice[q.model])
		q.visit.work()
		for m := range q.knows {
			q.knows[m] = x.said(&q, m, w.knows)
		}
		x.list = append(x.list, q)
	}
	return x
}

// said is an engine's forecast.
func (x *exam) said(q *question, moment int, e *ranker.Engine) []float64 {
	n := q.visit.complaint
	if moment == atFirstFix {
		n = q.visit.first
	}
	b, err := e.Believe(q.visit.acts[:n])
	if err != nil {
		x.shop.tb.Fatal(err)
	}
	return forecastOf(b)
}

// mark is what engines reached at one moment.
type mark struct {
	bits, truth float64 // log loss, and the truth's own
	bins        *Bins   // of the cause named first
}

// over is how much greater the log loss is than the truth's own.
func (m *mark) over() float64 { return m.bits/m.truth - 1 }

// marks examines engines, one for each model, at both moments. Forecasts are
// held against the truth's own chances, not against the one cause that was
// drawn: that is the log loss and the calibration to be expected given the
// findings, with much less luck in it.
func (x *exam) marks(engines []*ranker.Engine) (marks [2]mark) {
	n := float64(len(x.list))
	for moment := range marks {
		m := &marks[moment]
		m.bins = EqualWidth(binCount)
		for i := range x.list {
			q := &x.list[i]
			said, known := x.said(q, moment, engines[q.model]), q.knows[moment]
			for k, p := range known {
				m.bits += p * LogLoss(said, k) / n
				m.truth += p * LogLoss(known, k) / n
			}
			best := first(said)
			m.bins.Add(said[best], known[best], 1)
		}
	}
	return marks
}

// minutes are those that the first n jobs took.
func (x *exam) minutes(n int) (list []float64) {
	for i := range x.list[:n] {
		list = append(list, x.list[i].visit.minutes)
	}
	return list
}

func mean(list []float64) (m float64) {
	for _, v := range list {
		m += v / float64(len(list))
	}
	return m
}

// more is the mean by which a list is above another as long, job by job.
func more(list, than []float64) Gain {
	var d difference
	for i := range list {
		d.add(list[i] - than[i])
	}
	return d.gain(float64(len(list)))
}

// given puts the truth's numbers in place of some of the learned ones.
func (x *exam) given(engines []*ranker.Engine, shares, tables bool) (list []*ranker.Engine) {
	for i, e := range engines {
		m := *e.Model()
		w := x.shop.truth.worlds[x.era][i]
		if shares {
			m.Causes, m.Unlisted, m.SecondFault = w.Causes, w.Unlisted, w.SecondFault
		}
		if tables {
			m.Observables = slices.Clone(w.Observables)
		}
		list = append(list, e.Relearn(&m))
	}
	return list
}
