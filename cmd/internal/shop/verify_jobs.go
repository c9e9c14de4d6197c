package shop

import (
	"errors"
	"io/fs"
	"os"
	"strings"

	"sootsayer/index"
	"sootsayer/kb/journal"
)

// verifyJobIndex compares the index of past jobs with its digests and with the
// jobs that are closed. Of a journal that is not sound it is not compared.
func (s *Shop) verifyJobIndex(v *Verification, repair bool) (PartReport, error) {
	part := PartReport{Part: "jobs", State: PartUnchecked, Says: "their index depends on the base and the journal."}
	if s.base == nil || v.Journal == nil || !v.Journal.OK() {
		return part, nil
	}
	if _, err := os.Stat(s.jobIndexDir()); errors.Is(err, fs.ErrNotExist) {
		part.State, part.Says = PartAbsent, "no index of past jobs yet; the first search among them builds it."
		return part, nil
	}
	st, err := journal.Open(s.cfg.Store, s.journalOptions())
	if err != nil {
		return part, err
	}
	s.journal = st
	defer func() { s.journal = nil }()
	defer st.Close()
	current, wrong, err := index.VerifyJobs(s.jobIndexDir(), s.base, jobSource{s})
	if err != nil {
		return part, err
	}
	part.State, part.Says, part.Wrong = PartSound, "the index of past jobs holds those that are closed.", wrong
	switch {
	case repair && !current:
		err = s.buildJobIndex(&part)
		return part, err
	case len(wrong) > 0:
		part.State, part.Says = PartWrong, "their index is derived data: nothing is lost with it."
	case !current:
		part.State, part.Says = PartOutdated, "the index of past jobs lacks the latest, or is of another base, journal or program; the next search puts that right."
	}
	return part, nil
}

// buildJobIndex builds a damaged index of past jobs anew, or brings it up to
// date.
func (s *Shop) buildJobIndex(part *PartReport) error {
	var said []string
	log := func(text string) { said = append(said, text) }
	x, err := index.Open("", s.base, index.Options{Now: s.cfg.Now})
	if err != nil {
		return err
	}
	defer x.Close()
	jobs, err := x.OpenJobs(s.jobIndexDir(), s.base, jobSource{s}, index.JobOptions{Log: log, Now: s.cfg.Now})
	if err == nil {
		err = jobs.Close()
	}
	if err != nil {
		return err
	}
	_, left, err := index.VerifyJobs(s.jobIndexDir(), s.base, jobSource{s})
	part.State, part.Says = PartRepaired, strings.Join(append(said, "it is up to date."), "; ")
	if len(left) > 0 {
		part.State, part.Wrong = PartWrong, left
	}
	return err
}
