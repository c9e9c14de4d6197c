package journal

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sootsayer/kb"
)

// weightSlack is how far the weights of a finding may miss a sum of 1.
const weightSlack = 1e-6

func checkFinding(f *kb.Finding) error {
	if f == nil {
		return errors.New("finding is missing; say what was found")
	}
	errs := []error{required("finding.id", f.ID), minutes("finding.minutes", f.Minutes)}
	if f.Kind != kb.KindSymptom && f.Kind != kb.KindCheck {
		errs = append(errs, fmt.Errorf("finding.kind is %q; write %s or %s", f.Kind, kb.KindSymptom, kb.KindCheck))
	}
	given := 0
	for _, is := range []bool{f.Outcome != "", f.Reading != nil, f.Weights != nil} {
		if is {
			given++
		}
	}
	switch {
	case given != 1:
		errs = append(errs, fmt.Errorf("finding has %d of outcome, reading and weights; give exactly one", given))
	case f.Reading != nil && !finite(*f.Reading):
		errs = append(errs, errors.New("finding.reading is not a number"))
	case f.Reading != nil && f.Kind == kb.KindSymptom:
		errs = append(errs, errors.New("a symptom has no reading; write yes or no"))
	case f.Outcome != "":
		errs = append(errs, checkOutcome(f, f.Outcome))
	case f.Weights != nil:
		errs = append(errs, checkWeights(f))
	}
	return errors.Join(errs...)
}

func checkOutcome(f *kb.Finding, outcome string) error {
	if f.Kind == kb.KindSymptom && outcome != kb.Yes && outcome != kb.No {
		return fmt.Errorf("a symptom is yes or no, not %q", outcome)
	}
	return required("finding.outcome", outcome)
}

func checkWeights(f *kb.Finding) error {
	sum := 0.0
	for outcome, w := range f.Weights {
		if err := checkOutcome(f, outcome); err != nil {
			return err
		}
		if !finite(w) || w < 0 || w > 1 {
			return fmt.Errorf("the weight of %q is %g; give a chance from 0 to 1", outcome, w)
		}
		sum += w
	}
	if math.Abs(sum-1) > weightSlack {
		return fmt.Errorf("the weights of the finding sum to %g; make them sum to 1", sum)
	}
	return nil
}

func checkState(state map[string]string) error {
	if len(state) == 0 {
		return errors.New("state is missing; say how the equipment stands")
	}
	for id, value := range state {
		if err := errors.Join(required("state", id), required("state."+id, value)); err != nil {
			return err
		}
	}
	return nil
}

func checkClosing(c *kb.Closing) error {
	if c == nil {
		return errors.New("closing is missing; say what the cause was")
	}
	errs := []error{minutes("closing.minutes", c.Minutes), minutes("closing.fix_minutes", c.FixMinutes), optional("closing.by", c.By), optional("closing.from", c.From)}
	if len(c.Causes) == 0 {
		errs = append(errs, fmt.Errorf("closing.causes is empty; name the causes, or %s", kb.Unlisted))
	}
	if c.OneOf && len(c.Causes) < 2 {
		errs = append(errs, errors.New("closing.one_of is set with fewer than two causes; name all that it may have been"))
	}
	for i, id := range c.Causes {
		errs = append(errs, required("closing.causes", id))
		if slices.Contains(c.Causes[:i], id) {
			errs = append(errs, fmt.Errorf("closing.causes names %q twice", id))
		}
	}
	for _, id := range c.Fixes {
		errs = append(errs, required("closing.fixes", id))
	}
	if !(c.Confidence > 0 && c.Confidence <= 1) {
		errs = append(errs, fmt.Errorf("closing.confidence is %g; give how sure it is, above 0 and up to 1", c.Confidence))
	}
	if y := c.At.UTC().Year(); !c.At.IsZero() && (y < firstYear || y > lastYear) {
		errs = append(errs, fmt.Errorf("closing.at is in the year %d; leave it out or give the time, from %d to %d", y, firstYear, lastYear))
	}
	for part, qty := range c.Used {
		errs = append(errs, required("closing.used", part))
		if !finite(qty) || qty < 0 {
			errs = append(errs, fmt.Errorf("closing.used gives %g pieces of %q; give a number from 0", qty, part))
		}
	}
	return errors.Join(errs...)
}
