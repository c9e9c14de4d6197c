package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

func newJobRecord(a *app) *cobra.Command {
	var took float64
	cmd := a.jobCommand("record [JOB] CHECK=RESULT...", "Record results, and see what is next", true, 1, -1,
		func(cmd *cobra.Command, s *shop.Shop, j kb.Job, rest []string) error {
			findings, state, err := parseResults(s.Base(), j.Family, rest)
			if err != nil {
				return err
			}
			if cmd.Flags().Changed("minutes") {
				if err := timed(findings, took); err != nil {
					return err
				}
			}
			if len(findings) > 0 {
				if j, err = s.Record(j, findings...); err != nil {
					return err
				}
			}
			if len(state) > 0 {
				if j, err = s.SetState(j, state); err != nil {
					return err
				}
			}
			return a.printJob(s, &j, false)
		})
	cmd.Long = `Record results of checks and symptoms, and see what is next. A result is an
outcome, a reading in the check's own unit, or chances when you are not sure. A
check done again replaces its earlier result. STATE=VALUE records how the
equipment stands, such as power=on.`
	cmd.Example = `  sootsayer job record chamber-clear=ok
  sootsayer job record 17 supply-voltage=117 burner-starts=no
  sootsayer job record spark-look=ok:0.7,weak:0.3
  sootsayer job record nozzle-look=ok --minutes 12
  sootsayer job record power=off`
	cmd.Flags().Float64Var(&took, "minutes", 0, "minutes that the one check took")
	cmd.ValidArgsFunction = a.completingJob(func(s *shop.Shop, family, typed string) []string {
		return append(completeFindings(s, family, typed), completeStates(s, family, typed)...)
	})
	return cmd
}

// parseResults reads CHECK=RESULT, SYMPTOM=yes and STATE=VALUE words.
func parseResults(b *kb.Base, family string, words []string) ([]kb.Finding, map[string]string, error) {
	var findings []kb.Finding
	var pairs []string
	for _, w := range words {
		id, _, ok := strings.Cut(w, "=")
		if !ok {
			return nil, nil, usagef("%q has no result; write CHECK=RESULT, such as supply-voltage=117", w)
		}
		if _, isState := b.State(id); isState {
			pairs = append(pairs, w)
			continue
		}
		f, err := b.ParseFinding("", family, w)
		if err != nil {
			return nil, nil, err
		}
		findings = append(findings, f)
	}
	state, err := parseState(b, pairs)
	return findings, state, err
}

// timed notes how long the one check that was recorded took.
func timed(findings []kb.Finding, took float64) error {
	switch {
	case !(took > 0):
		return usagef("--minutes %g: give the minutes that the check took, above 0", took)
	case len(findings) != 1:
		return usagef("--minutes goes with one result, and %d are given; record the check that was timed by itself", len(findings))
	}
	findings[0].Minutes = took
	return nil
}

func newJobUndo(a *app) *cobra.Command {
	cmd := a.jobCommand("undo [JOB]", "Take back the last thing recorded", true, 0, 1,
		func(_ *cobra.Command, s *shop.Shop, j kb.Job, _ []string) error {
			j, last, err := s.Undo(j)
			if err != nil {
				return err
			}
			if !a.json {
				a.printer().line("Taken back: %s", actWords(s.Base(), &last))
			}
			return a.printJob(s, &j, false)
		})
	cmd.Example = "  sootsayer job undo"
	cmd.ValidArgsFunction = a.completingJob(nil)
	return cmd
}

// actWords says what was recorded.
func actWords(b *kb.Base, act *kb.Act) string {
	switch {
	case act.Finding != nil:
		return findingWords(b, act.Finding)
	case act.Tried != "":
		name := act.Tried
		if f, ok := b.Fix(act.Tried); ok {
			name = f.Name
		}
		return "no cure after: " + name
	}
	var out []string
	for i := range b.States {
		if v, ok := act.State[b.States[i].ID]; ok {
			out = append(out, stateName(&b.States[i])+" is "+v)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(act.State)) {
		if _, ok := b.State(id); !ok {
			out = append(out, id+" is "+act.State[id]+", not in the base")
		}
	}
	return strings.Join(out, ", ")
}

// findingWords says what was found.
func findingWords(b *kb.Base, f *kb.Finding) string {
	if s, ok := b.Symptom(f.ID); ok && f.Kind == kb.KindSymptom {
		return s.Name + ": " + resultWords(f, nil)
	}
	if k, ok := b.Check(f.ID); ok {
		return k.Name + ": " + resultWords(f, k)
	}
	return f.ID + ": " + resultWords(f, nil)
}

func resultWords(f *kb.Finding, k *kb.Check) string {
	switch {
	case f.Reading != nil && k != nil && k.Reading != nil:
		return fmt.Sprintf("%g %s", *f.Reading, k.Reading.Unit)
	case f.Reading != nil:
		return fmt.Sprintf("%g", *f.Reading)
	case f.Weights != nil:
		return "not sure"
	case k != nil:
		for _, o := range k.Outcomes {
			if o.ID == f.Outcome {
				return o.ID + " - " + o.Name
			}
		}
	}
	return f.Outcome
}
