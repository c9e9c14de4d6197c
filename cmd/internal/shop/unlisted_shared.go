package shop

import (
	"cmp"
	"strings"

	"slices"

	"sootsayer/kb"
)

// sharedFindings are the results that at least half of the jobs have, and two
// of them.
func sharedFindings(jobs []UnlistedJob) []SharedFinding {
	count := map[found]int{}
	for _, j := range jobs {
		for _, f := range j.found {
			count[f]++
		}
	}
	out := []SharedFinding{}
	for f, n := range count {
		if n >= 2 && 2*n >= len(jobs) {
			out = append(out, SharedFinding{Kind: f.kind, ID: f.id, Outcome: f.outcome, Jobs: n})
		}
	}
	slices.SortFunc(out, func(a, b SharedFinding) int {
		return cmp.Or(b.Jobs-a.Jobs, strings.Compare(b.Kind, a.Kind), strings.Compare(a.ID, b.ID), strings.Compare(a.Outcome, b.Outcome))
	})
	return out
}

// results reads results of jobs, with the models of their families.
type results struct {
	base   *kb.Base
	models map[string]*kb.Model // nil where the base has no such family
}

func (s *Shop) results() *results {
	return &results{base: s.base, models: map[string]*kb.Model{}}
}

// of lists the last result of each symptom and check of a job.
func (r *results) of(j *kb.Job) []found {
	model, known := r.models[j.Family]
	if !known {
		model, _ = kb.NewModel(r.base, j.Family)
		r.models[j.Family] = model
	}
	if model == nil {
		return nil
	}
	last := map[found]string{} // outcome by kind and id
	for i := range j.Acts {
		f := j.Acts[i].Finding
		if f == nil {
			continue
		}
		if o := observable(model, f); o != nil {
			last[found{kind: f.Kind, id: f.ID}] = likeliest(o, f)
		}
	}
	var out []found
	for f, outcome := range last {
		if f.outcome = outcome; outcome != "" {
			out = append(out, f)
		}
	}
	return out
}

func observable(m *kb.Model, f *kb.Finding) *kb.Observable {
	for i := range m.Observables {
		if o := &m.Observables[i]; o.Kind == f.Kind && o.ID == f.ID {
			return o
		}
	}
	return nil
}

// likeliest is the outcome that a finding says is the likeliest, "" when it
// says nothing of any.
func likeliest(o *kb.Observable, f *kb.Finding) string {
	weights, err := o.Weights(f)
	if err != nil {
		return ""
	}
	best := 0
	for i, w := range weights {
		if w > weights[best] {
			best = i
		}
	}
	return o.Outcomes[best]
}
