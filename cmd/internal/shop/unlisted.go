package shop

import (
	"slices"
	"time"

	"sootsayer/index"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// Unlisted is what the jobs that were closed as unlisted have in common.
type Unlisted struct {
	Family   string          `json:"family,omitempty"` // "" for all
	Unlisted int             `json:"unlisted"`         // jobs
	Listed   int             `json:"listed"`           // jobs against which words stand out
	Groups   []UnlistedGroup `json:"groups"`
	Left     []UnlistedJob   `json:"left"` // in no group
}

// UnlistedGroup is a group of unlisted jobs that may have one cause.
type UnlistedGroup struct {
	ID       string            `json:"group"`
	Words    []index.GroupWord `json:"words"`
	Weight   float64           `json:"weight"` // what the jobs count today
	Families map[string]int    `json:"families"`
	Shared   []SharedFinding   `json:"shared"` // by at least half of the jobs, the commonest first
	Jobs     []UnlistedJob     `json:"jobs"`
}

// UnlistedJob is a job that was closed as unlisted.
type UnlistedJob struct {
	ID        string    `json:"job"`
	Family    string    `json:"family"`
	Closed    time.Time `json:"closed"`
	Weight    float64   `json:"weight"` // confidence by age
	Complaint string    `json:"complaint"`
	Notes     []string  `json:"notes,omitempty"`

	found []found
}

// SharedFinding is a result that several jobs of a group have; a reading stands
// for its likeliest outcome.
type SharedFinding struct {
	Kind    string `json:"kind"`
	ID      string `json:"id"`
	Outcome string `json:"outcome"`
	Jobs    int    `json:"jobs"`
}

// found is one result of a job.
type found struct{ kind, id, outcome string }

// Unlisted groups the jobs of a family ("" for all) that were closed as
// unlisted by the words of their complaints and notes; progress is told how
// many jobs were read.
func (s *Shop) Unlisted(family string, progress func(jobs int)) (*Unlisted, error) {
	u := &Unlisted{Family: family, Groups: []UnlistedGroup{}, Left: []UnlistedJob{}}
	if s.journal == nil {
		return u, nil
	}
	d, err := s.current()
	if err != nil {
		return nil, err
	}
	grouper := index.NewGrouper(s.base)
	jobs := map[string]UnlistedJob{}
	results := s.results()
	read := 0
	for j, err := range s.journal.Jobs() {
		if err != nil {
			return nil, err
		}
		if read++; read%1000 == 0 {
			progress(read)
		}
		now := s.renamed(j)
		if !now.Closed() || family != "" && now.Family != family {
			continue
		}
		past, err := jobSource{s}.past(&j)
		if err != nil {
			return nil, err
		}
		spoken := append([]string{past.Complaint}, past.Reasons...)
		if !slices.Contains(past.Causes, kb.Unlisted) {
			grouper.Listed(slices.Concat(spoken, past.Notes)...)
			continue
		}
		grouper.Unlisted(j.ID, past.Notes, spoken...)
		jobs[j.ID] = UnlistedJob{ID: j.ID, Family: past.Family, Closed: past.Closed, Weight: weightToday(d.counts, now.Closing, s.today()),
			Complaint: past.Complaint, Notes: said(past.Notes), found: results.of(&now)}
	}
	u.take(grouper.Groups(), jobs)
	return u, nil
}

// weightToday is what a closing counts: its confidence, by its age.
func weightToday(c *learn.Counts, closing *kb.Closing, today time.Time) float64 {
	return min(1, max(0, closing.Confidence)) * min(1, c.Now(today)/c.Now(closing.At))
}

// said drops empty texts.
func said(texts []string) []string {
	return slices.DeleteFunc(slices.Clone(texts), func(t string) bool { return t == "" })
}

// take fills in the jobs of the groups.
func (u *Unlisted) take(g index.Grouping, jobs map[string]UnlistedJob) {
	u.Unlisted, u.Listed = g.Unlisted, g.Listed
	for _, group := range g.Groups {
		out := UnlistedGroup{ID: group.ID, Words: group.Words, Families: map[string]int{}}
		for _, id := range group.Jobs {
			j := jobs[id]
			out.Jobs = append(out.Jobs, j)
			out.Weight += j.Weight
			out.Families[j.Family]++
		}
		out.Shared = sharedFindings(out.Jobs)
		u.Groups = append(u.Groups, out)
	}
	for _, id := range g.Left {
		u.Left = append(u.Left, jobs[id])
	}
}
