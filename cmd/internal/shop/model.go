package shop

import (
	"cmp"
	"slices"

	"sootsayer/kb/learn"
)

// ModelSeen is how many root causes closed jobs found on equipment of one model.
// A job with two of them counts twice, and one that was closed with one of
// several once for each.
type ModelSeen struct {
	Model    string  `json:"model"`
	Causes   int     `json:"causes"`
	Weighted float64 `json:"weighted"` // what they weigh today
}

// Models lists the models of a family that jobs were closed on, or with "" of
// all families, the one that is known best first.
func (s *Shop) Models(family string) ([]ModelSeen, error) {
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	sums := make(map[string]ModelSeen)
	for id, f := range d.counts.Families {
		if family != "" && id != family {
			continue
		}
		for model := range f.Models {
			m := s.modelSeen(d, id, model)
			m.Causes, m.Weighted = m.Causes+sums[model].Causes, m.Weighted+sums[model].Weighted
			sums[model] = m
		}
	}
	list := make([]ModelSeen, 0, len(sums))
	for _, m := range sums {
		list = append(list, m)
	}
	slices.SortFunc(list, func(a, b ModelSeen) int {
		return cmp.Or(cmp.Compare(b.Causes, a.Causes), cmp.Compare(a.Model, b.Model))
	})
	return list, nil
}

// ModelSeen returns what was found on one model of a family.
func (s *Shop) ModelSeen(family, model string) (ModelSeen, error) {
	d, err := s.current()
	if err != nil {
		return ModelSeen{}, err
	}
	return s.modelSeen(d, family, model), nil
}

// FamilyWorth is how many jobs of a model what the whole family shows is worth
// to it: the fewer, the more the models of the family differ.
func (s *Shop) FamilyWorth(family string) (float64, error) {
	d, err := s.current()
	if err != nil {
		return 0, err
	}
	return d.counts.Kappa(s.base, family), nil
}

func (s *Shop) modelSeen(d *derived, family, model string) ModelSeen {
	m := ModelSeen{Model: model}
	if f := d.counts.Families[family]; f != nil {
		for _, t := range f.Models[model] {
			m.Causes += t.Jobs
			m.Weighted += s.weighsToday(d, t)
		}
	}
	return m
}

// weighsToday is what jobs weigh, never more than 1 each.
func (s *Shop) weighsToday(d *derived, t learn.Tally) float64 {
	return min(t.Weight*d.counts.Now(s.today()), float64(t.Jobs))
}
