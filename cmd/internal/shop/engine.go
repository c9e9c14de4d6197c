package shop

import (
	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

type engineKey struct {
	family   string
	authored bool
}

// engineEntry keeps an engine for as long as the counts behind it stand.
type engineEntry struct {
	engine  *ranker.Engine
	counts  *learn.Counts
	counted int
}

// Engine returns the ranking engine of a family, with what the shop learned,
// or as authored.
func (s *Shop) Engine(family string, authored bool) (*ranker.Engine, error) {
	key := engineKey{family, authored}
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	if e := s.engines[key]; e != nil && (authored || e.counts == d.counts && e.counted == d.counted) {
		return e.engine, nil
	}
	var m *kb.Model
	if authored {
		m, err = kb.NewModel(s.base, family)
	} else {
		m, err = d.counts.Model(s.base, family, "", s.Now())
	}
	if err != nil {
		return nil, err
	}
	e := ranker.New(m)
	s.engines[key] = &engineEntry{engine: e, counts: d.counts, counted: d.counted}
	return e, nil
}

// Believe folds a job's acts into a belief of what the shop has learned.
func (s *Shop) Believe(j *kb.Job) (*ranker.Belief, error) {
	e, err := s.Engine(j.Family, false)
	if err != nil {
		return nil, err
	}
	return e.Believe(j.Acts)
}

// Priors lists how often each cause of a family is the root cause, as authored
// and as learned.
func (s *Shop) Priors(family string) ([]learn.Prior, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return d.counts.Priors(s.base, family, s.Now()), nil
}

// TableChanges lists what closed jobs showed of outcome tables.
func (s *Shop) TableChanges() ([]learn.TableChange, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return d.counts.TableChanges(s.base, s.Now()), nil
}

// ClosedJobs returns how many closed jobs of a family the shop learned from and
// what they weigh today.
func (s *Shop) ClosedJobs(family string) (jobs int, weight float64, err error) {
	d, err := s.current()
	if err != nil {
		return 0, 0, err
	}
	if f := d.counts.Families[family]; f != nil {
		return f.Jobs.Jobs, f.Jobs.Weight * d.counts.Now(s.Now()), nil
	}
	return 0, 0, nil
}
