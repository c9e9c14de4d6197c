package shop

import (
	"math"
	"slices"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/stock"
	"sootsayer/ranker"
)

// coUse learns from all closed jobs which parts are taken together; parts gives
// each its index.
func (s *Shop) coUse(parts []string) (*stock.CoUse, error) {
	c := stock.NewCoUse(s.base, parts)
	now := s.today()
	for j, err := range s.Jobs() {
		if err != nil {
			return nil, err
		}
		at := j.Opened
		if n := len(j.Past); n > 0 {
			at = j.Past[n-1].At
		}
		if j.Closed() {
			at = j.Closing.At
		}
		c.Add(&j, s.ageWeight(at, now))
	}
	return c, nil
}

// ageWeight is what something of a day counts today: 2^(-age/half-life).
func (s *Shop) ageWeight(at, now time.Time) float64 {
	half := s.base.Settings.HalfLifeYears
	if !(half > 0) {
		return 1
	}
	years := now.Sub(at).Hours() / 24 / 365.25
	return math.Exp2(-max(0, years) / half)
}

// repairs are what a job may take to be cured, given what is known of it, with
// its weight: as it is needed, and with the chance that the fixes hold.
func repairs(m *kb.Model, b *ranker.Belief, weight float64) (needed, finished []stock.Repair) {
	for _, set := range b.FixSets() {
		r := stock.Repair{Family: m.Family, Weight: weight * set.Probability}
		holds := 1.0
		for _, f := range set.Fixes {
			r.Fixes = append(r.Fixes, m.Fixes[f].ID)
			holds *= m.Fixes[f].Cures
		}
		needed = append(needed, r)
		if len(r.Fixes) > 0 {
			r.Weight *= holds
			finished = append(finished, r)
		}
	}
	return needed, finished
}

// OpenNeed is a part that an open job may take.
type OpenNeed struct {
	Job         string  `json:"job"`
	Probability float64 `json:"probability"`
	Pieces      int     `json:"pieces"` // that will usually do when it takes it
}

// openNeeds is what the open jobs may take: by part index, the pieces that all of
// them take together, and the jobs one by one.
type openNeeds struct {
	all  []stock.Distribution
	jobs [][]OpenNeed
}

// leastOpen is the chance from which a job is named as one that may take a part.
const leastOpen = 0.1

// openNeeds works out what the open jobs may take besides what is booked on them.
func (s *Shop) openNeeds(parts []string, c *stock.CoUse) (*openNeeds, error) {
	o := &openNeeds{all: make([]stock.Distribution, len(parts)), jobs: make([][]OpenNeed, len(parts))}
	ids, err := s.OpenJobs()
	if err != nil || len(ids) == 0 {
		return o, err
	}
	visits, err := s.Visits()
	if err != nil {
		return nil, err
	}
	for _, id := range ids {
		j, err := s.Job(id)
		if err != nil {
			return nil, err
		}
		if _, known := s.base.Family(j.Family); !known {
			continue
		}
		b, err := s.Believe(&j)
		if err != nil {
			return nil, err
		}
		e, err := s.Engine(j.Family, j.Model, false)
		if err != nil {
			return nil, err
		}
		booked := bookedOn(&j, visits)
		needed, _ := repairs(e.Model(), b, 1)
		n := stock.NewNeeds(needed, c.Sets)
		for i, d := range n.Taken(len(parts)) {
			p := 1 - d.At(0)
			if p <= 0 || booked[parts[i]] {
				continue
			}
			o.all[i] = o.all[i].Plus(d)
			if p >= leastOpen {
				o.jobs[i] = append(o.jobs[i], OpenNeed{id, p, stock.Usual(d)})
			}
		}
	}
	return o, nil
}

// bookedOn are the parts that an open job took since it was opened last.
func bookedOn(j *kb.Job, visits []stock.Visit) map[string]bool {
	var since time.Time
	if n := len(j.Past); n > 0 {
		since = j.Past[n-1].At
	}
	booked := make(map[string]bool)
	for i := range visits {
		if v := &visits[i]; v.Job == j.ID && v.At.After(since) {
			booked[v.Part] = true
		}
	}
	return booked
}

// waiting are the jobs for which there are not enough pieces, those that need
// them most likely being served first.
func waiting(jobs []OpenNeed, onHand int) []OpenNeed {
	list := slices.Clone(jobs)
	slices.SortStableFunc(list, func(a, b OpenNeed) int {
		switch {
		case a.Probability > b.Probability:
			return -1
		case a.Probability < b.Probability:
			return 1
		}
		return 0
	})
	out := []OpenNeed{}
	for _, n := range list {
		if n.Pieces <= onHand {
			onHand -= n.Pieces
			continue
		}
		out = append(out, n)
	}
	return out
}
