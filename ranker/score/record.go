package score

import (
	"maps"
	"slices"

	"sootsayer/kb"
)

// binCount is how many bins calibrations have.
const binCount = 10

// record adds up the scores of predictions.
type record struct {
	jobs           Jobs
	left           map[string]int
	complaint, end moment
	steps          []step
	families       map[string]*split
	years          map[int]*split
	bins           [2]questions // at the complaint and at the end
	minutes        spent
	line           []point
}

type step struct {
	moment
	reached int
}

type split struct{ complaint, end moment }

func newRecord() *record {
	return &record{left: make(map[string]int), families: make(map[string]*split), years: make(map[int]*split),
		bins: [2]questions{newQuestions(), newQuestions()}}
}

// add scores a prediction at all its moments.
func (r *record) add(p *prediction) {
	r.note(p)
	all := make([]By[Scores], len(p.said))
	for i := range p.said {
		all[i] = eachBy(p.said[i], func(forecast []float64) Scores { return scoresOf(forecast, p.truth) })
	}
	first, last := all[0], all[len(all)-1]
	r.addSteps(all)
	r.complaint.add(first)
	r.end.add(last)
	for _, s := range []*split{of(r.families, p.job.Family), of(r.years, p.job.Opened.UTC().Year())} {
		s.complaint.add(first)
		s.end.add(last)
	}
	r.bins[0].add(p.said[0], p.truth)
	r.bins[1].add(p.said[len(p.said)-1], p.truth)
	r.minutes.add(p.job.Closing.Minutes, p.foreseen)
	r.line = append(r.line, point{p.job, logLosses(first), logLosses(last)})
}

// note counts what is told of the scored jobs besides their scores.
func (r *record) note(p *prediction) {
	r.jobs.Scored++
	if p.job.Closing.Confidence < 1 {
		r.jobs.Unsure++
	}
	if len(p.truth) > 1 {
		r.jobs.Several++
	}
	if slices.Contains(p.job.Closing.Causes, kb.Unlisted) {
		r.jobs.Unlisted++
	}
	if r.jobs.First == nil {
		r.jobs.First = &p.job.Opened
	}
	r.jobs.Last = &p.job.Opened // in the order of time
	for _, what := range p.left {
		r.left[nameOf(what)]++
	}
}

// addSteps adds a job to every step. Where it has more findings than any before
// it, the new steps begin with all that those had in the end.
func (r *record) addSteps(all []By[Scores]) {
	for len(r.steps) < len(all) {
		r.steps = append(r.steps, step{moment: r.end})
	}
	for i := range r.steps {
		r.steps[i].add(all[min(i, len(all)-1)])
		if i < len(all) {
			r.steps[i].reached++
		}
	}
}

func of[K comparable](splits map[K]*split, key K) *split {
	s := splits[key]
	if s == nil {
		s = new(split)
		splits[key] = s
	}
	return s
}

// report writes the record out.
func (r *record) report(opt *Options) *Report {
	out := &Report{Family: opt.Family, Jobs: r.jobs, LeftOut: r.left, Complaint: r.complaint.mean(), End: r.end.mean(),
		Steps: []Step{}, Families: []Split{}, Years: []Split{},
		Calibration: Calibrations{Complaint: r.bins[0].calibrated(r.jobs.Scored), End: r.bins[1].calibrated(r.jobs.Scored)},
		Minutes:     r.minutes.minutes(), OverTime: periods(r.line)}
	if !opt.From.IsZero() {
		out.From = &opt.From
	}
	for i := range r.steps {
		out.Steps = append(out.Steps, Step{Findings: i, Reached: r.steps[i].reached, Moment: r.steps[i].mean()})
	}
	for _, id := range slices.Sorted(maps.Keys(r.families)) {
		s := r.families[id]
		out.Families = append(out.Families, Split{Family: id, Complaint: s.complaint.mean(), End: s.end.mean()})
	}
	for _, year := range slices.Sorted(maps.Keys(r.years)) {
		s := r.years[year]
		out.Years = append(out.Years, Split{Year: year, Complaint: s.complaint.mean(), End: s.end.mean()})
	}
	return out
}
