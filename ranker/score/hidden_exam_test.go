package score

import (
	"math/rand/v2"
	"testing"

	"sootsayer/ranker"
)

var rankAll = ranker.Options{Detail: 1, Then: 1}

// exam are fresh troubles of the hidden truth, worked by who knows it. Only the
// model differs between those who are examined: all see the same findings.
//
// The truth's own chances of each cause, not one drawn cause, are what forecasts
// are held against: log loss and calibration error are then expected ones, given
// the findings, and hardly depend on luck.
type exam struct {
	tb   testing.TB
	shop *shop
	era  int
	list []question
}

// question is one fresh trouble, drawn from a seed so that it can be worked
// again, at the complaint and when its first fix was advised: that moment
// depends on nothing that is not yet known then, as the end of the job would.
type question struct {
	model int
	seed  uint64
	visit *visit
	knows [2][]float64
}

// moments of an exam.
const (
	atComplaint = iota
	atDiagnosis
)

func newExam(s *shop, era, n int) *exam {
	x := &exam{tb: s.tb, shop: s, era: era}
	for i := range n {
		q := question{model: i % len(s.plan.models), seed: uint64(i)}
		w := s.truth.worlds[era][q.model]
		q.visit = x.take(&q, w.knows)
		for m := range q.knows {
			q.knows[m] = q.said(s.tb, m, w.knows)
		}
		x.list = append(x.list, q)
	}
	return x
}

// take works a question by the advice of an engine.
func (x *exam) take(q *question, advice *ranker.Engine) *visit {
	w := x.shop.truth.worlds[x.era][q.model]
	rng := rand.New(rand.NewPCG(x.shop.plan.seed+1000, q.seed))
	t := breakDown(rng, w)
	t.ask = asked8(rng, x.shop.script, w.Model)
	v := newVisit(x.tb, t, advice)
	v.work()
	return v
}

// said is an engine's forecast of a question.
func (q *question) said(tb testing.TB, moment int, e *ranker.Engine) []float64 {
	n := q.visit.complaint
	if moment == atDiagnosis {
		n = q.visit.diagnosed
	}
	b, err := e.Believe(q.visit.acts[:n])
	if err != nil {
		tb.Fatal(err)
	}
	return forecastOf(b)
}

// mark is what an engine reached at one moment.
type mark struct {
	bits, own float64 // log loss, and the truth's
	first     *Bins
	all       *Bins
}

// over is how much greater the log loss is than the truth's own.
func (m *mark) over() float64 { return m.bits/m.own - 1 }

func (x *exam) worked(by []*ranker.Engine, n int) *exam {
	y := &exam{tb: x.tb, shop: x.shop, era: x.era}
	for _, q := range x.list[:n] {
		q.visit = x.take(&q, by[q.model])
		for m := range q.knows {
			q.knows[m] = q.said(x.tb, m, x.shop.truth.worlds[x.era][q.model].knows)
		}
		y.list = append(y.list, q)
	}
	return y
}

// mark examines engines, one for each model.
func (x *exam) mark(engines []*ranker.Engine) (marks [2]mark) {
	n := float64(len(x.list))
	for m := range marks {
		k := &marks[m]
		k.first, k.all = EqualWidth(binCount), EqualWidth(binCount)
		for i := range x.list {
			q := &x.list[i]
			said, known := q.said(x.tb, m, engines[q.model]), q.knows[m]
			for c, p := range known {
				if p > 0 {
					k.bits += p * LogLoss(said, c) / n
					k.own += p * LogLoss(known, c) / n
				}
				k.all.Add(said[c], p, 1)
			}
			best := first(said)
			k.first.Add(said[best], known[best], 1)
		}
	}
	return marks
}

// minutes are the mean minutes of the jobs that follow the engines' advice, and
// their standard error against those of who knows the truth, job by job.
func (x *exam) minutes(engines []*ranker.Engine, n int) (mean, knows float64, d difference) {
	for i := range x.list[:n] {
		q := &x.list[i]
		v := x.take(q, engines[q.model])
		mean += v.minutes / float64(n)
		knows += q.visit.minutes / float64(n)
		d.add(v.minutes - q.visit.minutes)
	}
	return mean, knows, d
}
