package cli

import (
	"fmt"
	"slices"
	"strings"

	"sootsayer/kb"
)

func (s *shower) symptom(id string) (out shownJSON, tell func(), err error) {
	x, ok := s.base.Symptom(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = x
	if out.Rows, err = s.chances(kb.KindSymptom, id, x.Families); err != nil {
		return out, nil, err
	}
	return out, func() {
		s.title("Symptom", x.Name, x.ID, x.Was...)
		s.families(x.Families)
		s.field("Ask", x.Ask)
		s.field("Takes", minutes(x.Minutes))
		s.cautions(x.Cautions)
		s.field("People say", strings.Join(x.Phrases, "; "))
		s.chanceTable(out.Rows, []string{kb.No, kb.Yes}, []string{kb.No, kb.Yes})
		s.basis(x.Basis)
		s.p.para("  Record it: ", fmt.Sprintf("sootsayer job record %s=yes", x.ID))
	}, nil
}

func (s *shower) check(id string) (out shownJSON, tell func(), err error) {
	k, ok := s.base.Check(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = k
	out.KeptBackBy, out.Ends = s.holdsOf(k)
	if out.Rows, err = s.chances(kb.KindCheck, id, k.Families); err != nil {
		return out, nil, err
	}
	return out, func() {
		s.title("Check", k.Name, k.ID, k.Was...)
		s.families(k.Families)
		s.field("Takes", minutes(k.Minutes))
		s.needs(k.State, k.Skill, k.Tools)
		if k.Starts > 0 {
			s.field("Starts the burner", countedAs(k.Starts, "time", "times"))
		}
		s.field("May be kept back by the hold", strings.Join(out.KeptBackBy, ", "))
		s.field("Can end the hold", strings.Join(out.Ends, ", "))
		s.cautions(k.Cautions)
		s.allWork(k.Families, k.Cautions)
		s.steps(k.How)
		s.reading(k.Reading)
		ids, numbers := s.outcomes(k.Outcomes)
		s.chanceTable(out.Rows, ids, numbers)
		s.basis(k.Basis)
		result := k.Outcomes[0].ID
		if k.Reading != nil {
			result = "READING"
		}
		s.p.para("  Record it: ", fmt.Sprintf("sootsayer job record %s=%s", k.ID, result))
	}, nil
}

// holdsOf returns the holds that may keep a check back, and those it can end.
func (s *shower) holdsOf(k *kb.Check) (keptBackBy, ends []string) {
	for i := range s.base.Holds {
		h := &s.base.Holds[i]
		if !slices.ContainsFunc(h.Families, func(f string) bool { return kb.In(k.Families, f) }) {
			continue
		}
		back := h.KeepsBack
		switch {
		case h.Until.Check == k.ID:
			ends = append(ends, h.ID)
		case back.All, back.Starting && k.Starts > 0, slices.Contains(back.Checks, k.ID):
			keptBackBy = append(keptBackBy, h.ID)
		}
	}
	return keptBackBy, ends
}

// reading says what number a check yields.
func (s *shower) reading(r *kb.Reading) {
	if r == nil {
		return
	}
	text := "in " + r.Unit
	if r.Tolerance.Value > 0 {
		unit := ""
		if !r.Tolerance.Percent {
			unit = " " + r.Unit
		}
		text += fmt.Sprintf(", good to %s%s either way", r.Tolerance, unit)
	}
	switch {
	case r.Min != nil && r.Max != nil:
		text += fmt.Sprintf("; possible from %g to %g", *r.Min, *r.Max)
	case r.Min != nil:
		text += fmt.Sprintf("; possible from %g", *r.Min)
	case r.Max != nil:
		text += fmt.Sprintf("; possible up to %g", *r.Max)
	}
	s.field("Reading", text)
}

// outcomes lists results, and returns their ids and the numbers that head the
// columns of the chances.
func (s *shower) outcomes(list []kb.Outcome) (ids, numbers []string) {
	s.p.line("  Results, the normal one first:")
	width := 0
	for i, o := range list {
		ids, numbers = append(ids, o.ID), append(numbers, fmt.Sprint(i+1))
		width = max(width, len(o.ID))
	}
	for i, o := range list {
		s.p.para(fmt.Sprintf("    %s %s  ", numbers[i], pad(o.ID, width)), o.Name)
	}
	return ids, numbers
}
