package shop

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
	"sootsayer/kb/learn"
)

// Changed is what the journal names and the base no longer has.
type Changed struct {
	Compared  int      `json:"compared"`  // jobs, open ones too
	Jobs      int      `json:"jobs"`      // of them, those that name something that is gone
	Open      int      `json:"open"`      // of these, those that are open: they are ranked without it
	Uncounted SomeJobs `json:"uncounted"` // closed jobs of which nothing is counted because of it
	InPart    SomeJobs `json:"in_part"`   // closed jobs of which not all is counted because of it
	Gone      []Gone   `json:"gone"`
	More      int      `json:"more,omitempty"` // times that something else was met, beyond thousands of things
}

// Gone is one thing that the base no longer has, and how it can be found again.
type Gone struct {
	kb.Missing
	Jobs    int       `json:"jobs"`              // that name it
	Others  int       `json:"others,omitempty"`  // records besides jobs: phrases, appliances, parts counted and received
	Last    time.Time `json:"last"`              // when the newest of them was closed or acted on
	Nearest string    `json:"nearest,omitempty"` // the id of today that is most like it
	Line    string    `json:"line,omitempty"`    // what to write under the entry that it became, the nearest if there is one
}

// SomeJobs are a number of jobs, and the newest of them by their closing.
type SomeJobs struct {
	Jobs   int      `json:"jobs"`
	Newest []string `json:"newest,omitempty"`

	at []jobAt
}

type jobAt struct {
	id string
	at time.Time
}

// mostNewest is how many jobs SomeJobs names.
const mostNewest = 100

func (s *SomeJobs) add(j *kb.Job) {
	s.Jobs++
	if s.at = append(s.at, jobAt{j.ID, j.Closing.At}); len(s.at) >= 2*mostNewest {
		s.keepNewest()
	}
}

func (s *SomeJobs) keepNewest() {
	slices.SortFunc(s.at, func(a, b jobAt) int { return cmp.Or(b.at.Compare(a.at), strings.Compare(a.id, b.id)) })
	s.at = s.at[:min(len(s.at), mostNewest)]
}

func (s *SomeJobs) done() {
	s.keepNewest()
	for _, j := range s.at {
		s.Newest = append(s.Newest, j.id)
	}
}

// Changed compares everything in the journal with the base: job by job, so that
// memory does not grow with their number. progress is told after each how many
// were compared. A shop that has recorded nothing names nothing.
func (s *Shop) Changed(ctx context.Context, progress func(jobs int)) (Changed, error) {
	c := comparing{Changed: Changed{Gone: []Gone{}}, survey: newSurvey(s.base), counts: learn.New(s.base)}
	for j, err := range s.Jobs() {
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return c.Changed, err
		}
		c.take(&j)
		progress(c.Compared)
	}
	if s.journal != nil {
		if err := c.others(s); err != nil {
			return c.Changed, err
		}
	}
	c.Changed.Jobs, c.More = c.survey.jobs, c.survey.more
	c.Uncounted.done()
	c.InPart.done()
	for m, met := range c.survey.things {
		near, line := wasLine(s.base, m)
		c.Gone = append(c.Gone, Gone{Missing: m, Jobs: met.jobs, Others: met.others, Last: met.last, Nearest: near, Line: line})
	}
	slices.SortFunc(c.Gone, func(a, b Gone) int {
		return cmp.Or(cmp.Compare(slices.Index(goneOrder, a.Kind), slices.Index(goneOrder, b.Kind)), cmp.Compare(b.Jobs, a.Jobs),
			cmp.Compare(a.Of, b.Of), cmp.Compare(a.ID, b.ID), cmp.Compare(a.Family, b.Family))
	})
	return c.Changed, nil
}

// goneOrder is the order in which kinds are listed: what weighs most first.
var goneOrder = []string{kb.KindFamily, kb.KindCause, kb.KindSymptom, kb.KindCheck, kb.KindOutcome, kb.KindReading, kb.KindFix, kb.KindPart, kb.KindState, kb.KindValue}

// comparing is a comparison under way.
type comparing struct {
	Changed
	survey *survey
	counts *learn.Counts // empty but while a job is tried
}

// take looks through one job. What is counted of it is for package learn to say:
// it is counted by itself and taken back.
func (c *comparing) take(j *kb.Job) {
	c.Compared++
	switch gone := c.survey.take(j); {
	case len(gone) == 0:
		return
	case !j.Closed():
		c.Open++
		return
	}
	c.counts.Add(j)
	switch {
	case len(c.counts.Families)+len(c.counts.Tables)+len(c.counts.Fixes)+len(c.counts.Minutes) == 0:
		c.Uncounted.add(j)
	case len(c.counts.Skipped) > 0:
		c.InPart.add(j)
	}
	c.counts.Remove(j)
}

// others looks through what is recorded besides jobs.
func (c *comparing) others(s *Shop) error {
	b := s.base
	note := func(kind, list, id string, at time.Time) {
		if now := b.Today(list, id); id != "" && !slices.Contains(b.IDs(list), now) {
			c.survey.other(kb.Missing{Kind: kind, ID: now}, at)
		}
	}
	phrases, err := s.journal.Phrases()
	if err != nil {
		return err
	}
	for _, p := range phrases {
		if p.Times() > 0 {
			note(kb.KindFamily, "families", p.Family, p.Last)
			note(kb.KindSymptom, "symptoms", p.Symptom, p.Last)
		}
	}
	for _, kind := range []journal.Kind{journal.KindApplianceAdded, journal.KindPartCounted, journal.KindPartReceived, journal.KindPartUsed} {
		for e, err := range s.journal.EventsOf(kind) {
			if err != nil {
				return err
			}
			if e.Job == "" { // pieces used on a job are the job's
				note(kb.KindFamily, "families", e.Family, e.At)
				note(kb.KindPart, "parts", e.Part, e.At)
			}
		}
	}
	return nil
}
