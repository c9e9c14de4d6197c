package cli

import (
	"cmp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// completeJobs gives the verbs of `job` that work on other jobs than the open
// ones their completions.
func (a *app) completeJobs(root *cobra.Command) {
	for verb, list := range map[string]completion{
		"reopen":  completeClosedJobs,
		"correct": completeClosedJobs,
		"show":    completeAllJobs,
		"sheet":   completeAllJobs,
	} {
		if cmd, err := commandNamed(root, []string{"job", verb}); err == nil {
			cmd.ValidArgsFunction = a.completing(list)
		}
	}
}

// mostJobsOffered is how many jobs a completion offers, the newest first; who
// looks for an older one lists them.
const mostJobsOffered = 200

func completeClosedJobs(s *shop.Shop, _, _ string) []string {
	return jobWords(s, func(j *kb.Job) bool { return j.Closed() })
}

func completeAllJobs(s *shop.Shop, _, _ string) []string {
	return jobWords(s, func(*kb.Job) bool { return true })
}

// jobWords lists jobs with their complaints.
func jobWords(s *shop.Shop, wanted func(*kb.Job) bool) []string {
	if s.Journal() == nil {
		return nil
	}
	var jobs []kb.Job
	for j, err := range s.Journal().Jobs() {
		if err != nil {
			return nil
		}
		if wanted(&j) {
			jobs = append(jobs, kb.Job{ID: j.ID, Complaint: j.Complaint, Opened: j.Opened})
		}
	}
	slices.SortStableFunc(jobs, func(x, y kb.Job) int { return cmp.Or(y.Opened.Compare(x.Opened), cmp.Compare(y.ID, x.ID)) })
	var out []string
	for i := range jobs[:min(len(jobs), mostJobsOffered)] {
		word := jobs[i].ID
		if says := strings.Join(strings.Fields(jobs[i].Complaint), " "); says != "" {
			word += "\t" + cut(says, 40)
		}
		out = append(out, word)
	}
	return out
}
