package shop

import (
	"maps"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/learn"
	"sootsayer/ranker"
)

type engineKey struct {
	family, model string
	authored      bool
}

// engineEntry keeps an engine for as long as the counts behind it stand and the
// day has not changed.
type engineEntry struct {
	engine *ranker.Engine
	counts *learn.Counts
	moves  int
	day    time.Time
}

// today is the time that jobs are weighed at. It is the beginning of the day,
// so that numbers do not creep between two commands of one day.
func (s *Shop) today() time.Time { return s.Now().UTC().Truncate(24 * time.Hour) }

// Engine returns the ranking engine of a family, for equipment of one model or,
// with "", of the whole family: with what the shop learned, or as authored. A
// model of which no job is counted is ranked as the family is.
func (s *Shop) Engine(family, model string, authored bool) (*ranker.Engine, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	if authored || !d.knows(family, model) {
		model = ""
	}
	key := engineKey{family, model, authored}
	old, day := s.engines[key], s.today()
	if old != nil && (authored || old.counts == d.counts && old.moves == d.moves && old.day.Equal(day)) {
		return old.engine, nil
	}
	var m *kb.Model
	if authored {
		m, err = kb.NewModel(s.base, family)
	} else {
		m, err = d.counts.Model(s.base, family, model, day)
	}
	if err != nil {
		return nil, err
	}
	entry := &engineEntry{counts: d.counts, moves: d.moves, day: day}
	if old != nil {
		entry.engine = old.engine.Relearn(m)
	} else {
		entry.engine = ranker.New(m)
	}
	s.engines[key] = entry
	return entry.engine, nil
}

// knows tells whether a job of the model is counted.
func (d *derived) knows(family, model string) bool {
	f := d.counts.Families[family]
	return f != nil && len(f.Models[model]) > 0
}

// Believe folds a job's acts into a belief of what the shop has learned of its
// model.
func (s *Shop) Believe(j *kb.Job) (*ranker.Belief, error) {
	acts, err := s.evidence(j)
	if err != nil {
		return nil, err
	}
	e, err := s.Engine(j.Family, j.Model, false)
	if err != nil {
		return nil, err
	}
	return e.Believe(acts)
}

// Priors lists how often each cause of a family is the root cause, as authored
// and as learned: for one model, or with "" for the whole family.
func (s *Shop) Priors(family, model string) ([]learn.Prior, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return d.counts.Priors(s.base, family, model, s.today()), nil
}

// TableChanges lists what closed jobs showed of outcome tables.
func (s *Shop) TableChanges() ([]learn.TableChange, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return d.counts.TableChanges(s.base, s.today()), nil
}

// Changes lists what else closed jobs of a family showed: effects, cures,
// minutes and parts.
func (s *Shop) Changes(family string) ([]learn.Change, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return d.counts.Changes(s.base, family, s.today()), nil
}

// RecentSince is the day from which on closed jobs are recent, where priors tell
// what rose and fell.
func (s *Shop) RecentSince() time.Time { return learn.RecentSince(s.today()) }

// ClosedJobs returns how many closed jobs of a family the shop learned from and
// what they weigh today.
func (s *Shop) ClosedJobs(family string) (jobs int, weight float64, err error) {
	d, err := s.current()
	if err != nil {
		return 0, 0, err
	}
	if f := d.counts.Families[family]; f != nil {
		return f.Jobs.Jobs, s.weighsToday(d, f.Jobs), nil
	}
	return 0, 0, nil
}

// Skipped is what closed jobs name that the base does not know, as
// "family/ID", "cause/ID", "check/ID" and so on, with how often each was met.
// It is kept and not counted.
func (s *Shop) Skipped() (map[string]int, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	return maps.Clone(d.counts.Skipped), nil
}
