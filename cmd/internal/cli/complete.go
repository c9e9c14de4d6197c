package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// completion lists what may stand in a place, given what was typed of it, the
// shop, and the family where that is known.
type completion func(s *shop.Shop, family, typed string) []string

// complete gives flags of a command their completions.
func (a *app) complete(cmd *cobra.Command, flags map[string]completion) {
	for name, list := range flags {
		if err := cmd.RegisterFlagCompletionFunc(name, a.completing(list)); err != nil {
			panic(err) // the flag is missing: a mistake in this package
		}
	}
}

// completing opens the shop read-only for a completion; where that fails there
// is nothing to offer.
func (a *app) completing(list completion) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		c := a.config(cmd, false)
		c.Notice = nil // shells throw away what is said besides
		s, err := shop.Open(c)
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		defer s.Close()
		family := ""
		if f := cmd.Flags().Lookup("family"); f != nil {
			family = f.Value.String()
		}
		if family == "" {
			if j, err := jobFromArgs(s, args); err == nil {
				family = j.Family
			}
		}
		var out []string
		for _, w := range list(s, family, typed) {
			if strings.HasPrefix(w, typed) {
				out = append(out, w)
			}
		}
		directive := cobra.ShellCompDirectiveNoFileComp
		if len(out) > 0 && strings.HasSuffix(out[0], "=") {
			directive |= cobra.ShellCompDirectiveNoSpace
		}
		return out, directive
	}
}

// completingJob is completing for commands that take a job and then something
// else: a job is offered in the first place only.
func (a *app) completingJob(then completion) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		return a.completing(func(s *shop.Shop, family, typed string) []string {
			var out []string
			if len(args) == 0 {
				out = completeOpenJobs(s, family, typed)
			}
			if then != nil {
				out = append(out, then(s, family, typed)...)
			}
			return out
		})(cmd, args, typed)
	}
}

// jobFromArgs is the job that the first argument names, or the current one.
func jobFromArgs(s *shop.Shop, args []string) (kb.Job, error) {
	if len(args) > 0 && !strings.Contains(args[0], "=") {
		return s.Job(args[0])
	}
	return s.CurrentJob()
}

func completeFamilies(s *shop.Shop, _, _ string) []string { return s.Families() }

func completeSymptoms(s *shop.Shop, family, typed string) []string {
	if id, _, ok := strings.Cut(typed, "="); ok {
		return []string{id + "=" + kb.Yes, id + "=" + kb.No}
	}
	var out []string
	for i := range s.Base().Symptoms {
		if x := &s.Base().Symptoms[i]; family == "" || kb.In(x.Families, family) {
			out = append(out, x.ID+"\t"+x.Name)
		}
	}
	return out
}

// completeChecks offers checks, and after the equals sign their outcomes.
func completeChecks(s *shop.Shop, family, typed string) []string {
	var out []string
	if id, _, ok := strings.Cut(typed, "="); ok {
		if k, known := s.Base().Check(id); known {
			for _, o := range k.Outcomes {
				out = append(out, id+"="+o.ID+"\t"+o.Name)
			}
		}
		return out
	}
	for i := range s.Base().Checks {
		if k := &s.Base().Checks[i]; family == "" || kb.In(k.Families, family) {
			out = append(out, k.ID+"=")
		}
	}
	return out
}

// completeFindings offers checks and symptoms with their outcomes.
func completeFindings(s *shop.Shop, family, typed string) []string {
	out := completeChecks(s, family, typed)
	if id, _, ok := strings.Cut(typed, "="); ok {
		if _, known := s.Base().Symptom(id); known {
			out = append(out, completeSymptoms(s, family, typed)...)
		}
		return out
	}
	for i := range s.Base().Symptoms {
		if x := &s.Base().Symptoms[i]; family == "" || kb.In(x.Families, family) {
			out = append(out, x.ID+"=")
		}
	}
	return out
}

func completeFixes(s *shop.Shop, family, _ string) []string {
	used := make(map[string]bool)
	for i := range s.Base().Causes {
		c := &s.Base().Causes[i]
		if _, in := c.Share[family]; in || family == "" {
			used[c.Fix] = true
		}
	}
	var out []string
	for i := range s.Base().Fixes {
		if f := &s.Base().Fixes[i]; used[f.ID] {
			out = append(out, f.ID+"\t"+f.Name)
		}
	}
	return out
}

func completeCauses(s *shop.Shop, family, _ string) []string {
	out := []string{kb.Unlisted}
	for i := range s.Base().Causes {
		c := &s.Base().Causes[i]
		if _, in := c.Share[family]; in || family == "" {
			out = append(out, c.ID+"\t"+c.Name)
		}
	}
	return out
}

func completeParts(s *shop.Shop, _, _ string) []string {
	var out []string
	for i := range s.Base().Parts {
		if x := &s.Base().Parts[i]; x.SupersededBy == "" {
			out = append(out, x.ID+"=")
		}
	}
	return out
}

func completeStates(s *shop.Shop, _, typed string) []string {
	var out []string
	for i := range s.Base().States {
		for _, v := range s.Base().States[i].Values {
			out = append(out, s.Base().States[i].ID+"="+v)
		}
	}
	return out
}

func completeOpenJobs(s *shop.Shop, _, _ string) []string {
	ids, err := s.OpenJobs()
	if err != nil {
		return nil
	}
	return ids
}
