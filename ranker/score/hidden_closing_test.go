package score

import (
	"math"
	"slices"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

// How well jobs are closed.
const (
	wronglyClosed = 0.05 // share of the jobs closed with a cause that was not there
	unsure        = 0.1  // share of the jobs closed with the confidence sureOf
	sureOf        = 0.7
	wrongIfUnsure = 0.2
	wrongIfSure   = (wronglyClosed - unsure*wrongIfUnsure) / (1 - unsure)
)

// close closes a job with what was there, which taking things apart showed, or
// the support; now and then with something else that was thought likely, and
// with its fix, so that the paper agrees with itself. It returns the closing,
// and the one that would have been right.
func (s *shop) close(v *visit, there []string) (closing, right *kb.Closing) {
	right = &kb.Closing{Causes: there, Confidence: 1}
	if v.last >= 0 {
		right.Fixes = []string{v.world.Fixes[v.last].ID}
		right.FixMinutes = s.lasted(withProof(v.world.Model, v.last))
	}
	said, wrong := *right, wrongIfSure
	if s.rng.Float64() < unsure {
		said.Confidence, wrong = sureOf, wrongIfUnsure
	}
	if s.rng.Float64() < wrong {
		said.Causes, said.Fixes = []string{kb.Unlisted}, nil
		if c := s.mistaken(v, there); c >= 0 {
			said.Causes = []string{v.world.Causes[c].ID}
			said.Fixes = []string{v.world.Fixes[v.world.Causes[c].Fix].ID}
		}
	}
	return &said, right
}

// mistaken draws a cause that was not there by how likely it was held, -1 for
// the unlisted one.
func (s *shop) mistaken(v *visit, there []string) int {
	chances := forecastOf(v.belief)
	for k, c := range v.world.Causes {
		if slices.Contains(there, c.ID) {
			chances[k] = 0
		}
	}
	unlisted := len(v.world.Causes)
	if slices.Contains(there, kb.Unlisted) {
		chances[unlisted] = 0
	}
	if c := quantile(chances, s.rng.Float64()); c != unlisted {
		return c
	}
	return -1
}

// sayMinutes states how long everything took.
func (s *shop) sayMinutes(v *visit) {
	for i := range v.acts {
		a := &v.acts[i]
		if f := a.Finding; f != nil {
			f.Minutes = s.lasted(v.world.Observables[v.world.ObservableIndex(f.Kind, f.ID)].Minutes)
		} else {
			a.Minutes = s.lasted(withProof(v.world.Model, v.world.FixIndex(a.Tried)))
		}
	}
}

// lasted draws minutes around a mean, log-normal.
func (s *shop) lasted(mean float64) float64 {
	return mean * math.Exp(math.Sqrt(minutesVariance)*s.rng.NormFloat64()-minutesVariance/2)
}

// withProof is the minutes of a fix and its proof of operation.
func withProof(m *kb.Model, fix int) float64 {
	minutes := m.Fixes[fix].Minutes
	if p := m.Fixes[fix].Proof; p >= 0 {
		minutes += m.Observables[p].Minutes
	}
	return minutes
}

// otherwise makes engines of the same jobs learned under other conditions: with
// every closing right, or without a half-life.
func (s *shop) otherwise(now time.Time, right, unfading bool) (list []*ranker.Engine) {
	b := *s.teacher.base
	if unfading {
		b.Settings.HalfLifeYears = 0
	}
	jobs := make(map[*kb.Job]*kb.Job, len(s.cases))
	for i, c := range s.cases {
		jobs[c.Job] = c.Job
		if right {
			job := *c.Job
			job.Closing = s.right[i]
			jobs[c.Job] = &job
		}
	}
	counts := learn.New(&b)
	for _, c := range s.cases {
		if c.Back != nil {
			counts.AddCameBack(jobs[c.Job], jobs[c.Back])
		} else {
			counts.Add(jobs[c.Job])
		}
	}
	for _, model := range s.plan.models {
		m, err := counts.Model(&b, s.plan.family, model, now)
		if err != nil {
			s.tb.Fatal(err)
		}
		list = append(list, s.engines.authored.Relearn(m))
	}
	return list
}
