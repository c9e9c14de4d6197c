package shop

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"sootsayer/kb"
)

// Settling is a group of unlisted jobs that is to be put down to a cause.
type Settling struct {
	Group string
	Cause string
	Jobs  []UnlistedJob
}

// Settling prepares to put the jobs of a group, except some, down to a cause
// that was added to the base since they were closed. A group, job or cause that
// is not there, and a cause that a job's family does not have, is an error with
// the nearest id that would do.
func (s *Shop) Settling(u *Unlisted, group, cause string, except []string) (Settling, error) {
	out := Settling{Group: group, Cause: s.base.Today("causes", cause)}
	var groups []string
	for i := range u.Groups {
		groups = append(groups, u.Groups[i].ID)
		if u.Groups[i].ID == group {
			out.Jobs = u.Groups[i].Jobs
		}
	}
	if out.Jobs == nil {
		if len(groups) == 0 {
			return out, fmt.Errorf("no group %q: no unlisted jobs have words in common that stand out", group)
		}
		return out, kb.UnknownID("group of unlisted jobs", group, groups)
	}
	for _, id := range except {
		i := slices.IndexFunc(out.Jobs, func(j UnlistedJob) bool { return j.ID == id })
		if i < 0 {
			return out, fmt.Errorf("job %s is not in group %s; its jobs are %s", id, group, jobList(out.Jobs))
		}
		out.Jobs = slices.Concat(out.Jobs[:i], out.Jobs[i+1:])
	}
	if len(out.Jobs) == 0 {
		return out, fmt.Errorf("no job of group %s is left", group)
	}
	return out, s.fitsAll(out.Cause, out.Jobs)
}

// fitsAll tells whether every job's family has a cause.
func (s *Shop) fitsAll(cause string, jobs []UnlistedJob) error {
	if cause == kb.Unlisted {
		return errors.New("unlisted is what these jobs are closed as now; name the cause that they had")
	}
	if _, ok := s.base.Cause(cause); !ok {
		return fmt.Errorf("%w\nadd it to the base first, and name the base's folder with --base", kb.UnknownID("cause", cause, s.base.IDs("causes")))
	}
	var others []UnlistedJob
	for _, j := range jobs {
		if !slices.Contains(ClosingCauses(s.base, j.Family), cause) {
			others = append(others, j)
		}
	}
	if len(others) == 0 {
		return nil
	}
	family := others[0].Family
	err := kb.UnknownID("cause of "+family, cause, ClosingCauses(s.base, family)[1:])
	if len(others) == len(jobs) {
		return err
	}
	return fmt.Errorf("%w\nthat is the family of %s; settle one family at a time with --family, or give the cause a share there", err, jobList(others))
}

// jobList names jobs.
func jobList(jobs []UnlistedJob) string {
	ids := make([]string, len(jobs))
	for i, j := range jobs {
		ids[i] = j.ID
	}
	return strings.Join(ids, ", ")
}

// Settle puts the cause in the place of the unlisted one in the closings of the
// jobs; all else in them stays. A job that was closed otherwise meanwhile is
// left as it is. It returns the jobs that were changed, also with an error.
func (s *Shop) Settle(t Settling) ([]kb.Job, error) {
	var done []kb.Job
	for _, u := range t.Jobs {
		j, err := s.Job(u.ID)
		if err != nil {
			return done, err
		}
		if !j.Closed() || !slices.Contains(j.Closing.Causes, kb.Unlisted) {
			continue
		}
		if j, err = s.CorrectClosing(j, settled(s.base, j.Closing, t.Cause)); err != nil {
			return done, err
		}
		done = append(done, j)
	}
	return done, nil
}

// settled is a closing with a cause in the place of the unlisted one.
func settled(b *kb.Base, was *kb.Closing, cause string) kb.Closing {
	c := *was
	c.Causes = nil
	for _, id := range was.Causes {
		if id == kb.Unlisted {
			id = cause
		}
		if !slices.Contains(c.Causes, id) {
			c.Causes = append(c.Causes, id)
		}
	}
	c.OneOf = was.OneOf && len(c.Causes) > 1
	c.Fixes = OtherFixes(b, c.Causes, was.Fixes)
	return c
}
