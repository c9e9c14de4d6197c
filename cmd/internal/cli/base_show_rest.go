package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"sootsayer/kb"
)

func (s *shower) fix(id string) (out shownJSON, tell func(), err error) {
	f, ok := s.base.Fix(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = f
	var families []string
	for i := range s.base.Causes {
		c := &s.base.Causes[i]
		if c.Fix != id {
			continue
		}
		out.Causes = append(out.Causes, c.ID)
		for _, family := range s.base.IDs("families") {
			if _, in := c.Share[family]; in && !slices.Contains(families, family) {
				families = append(families, family)
			}
		}
	}
	return out, func() { s.tellFix(f, families, out.Causes) }, nil
}

func (s *shower) tellFix(f *kb.Fix, families, causes []string) {
	s.title("Fix", f.Name, f.ID, f.Was...)
	s.families(families)
	s.field("Cures", names(causes, s.causeName))
	s.field("Holds", fmt.Sprintf("in %s when the cause was right", percent(f.Cures)))
	s.field("Takes", minutes(f.Minutes))
	s.needs(f.State, f.Skill, f.Tools)
	for _, use := range f.Parts {
		part, ok := s.base.Part(use.Part)
		if !ok {
			continue
		}
		text := fmt.Sprintf("%s (%s)", parts(use.Qty, part), part.ID)
		if use.Chance < 1 {
			text += fmt.Sprintf(", needed in %s", percent(use.Chance))
		}
		if len(use.Families) > 0 {
			text += ", on " + strings.Join(use.Families, ", ")
		}
		s.field("Part", text)
	}
	s.cautions(f.Cautions)
	s.allWork(families, f.Cautions)
	s.steps(f.How)
	if proof, ok := s.base.Check(f.Proof); ok {
		s.field("Prove it", fmt.Sprintf("%s (%s)", proof.Name, proof.ID))
		s.cautions(slices.DeleteFunc(slices.Clone(proof.Cautions), func(text string) bool { return slices.Contains(f.Cautions, text) }))
	}
	s.basis(f.Basis)
}

func (s *shower) part(id string) (out shownJSON, tell func(), err error) {
	x, ok := s.base.Part(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = x
	uses := make(map[string]kb.PartUse)
	for i := range s.base.Fixes {
		for _, use := range s.base.Fixes[i].Parts {
			if use.Part == id {
				out.UsedBy = append(out.UsedBy, s.base.Fixes[i].ID)
				uses[s.base.Fixes[i].ID] = use
			}
		}
	}
	return out, func() {
		s.title("Part", x.Name, x.ID, x.Was...)
		s.field("Spec", x.Spec)
		if x.UnitCost > 0 {
			s.field("Costs", fmt.Sprintf("%.2f each", x.UnitCost))
		}
		if x.Pack > 1 {
			s.field("Comes in packs of", fmt.Sprint(x.Pack))
		}
		if x.LeadDays > 0 {
			s.field("Arrives in", fmt.Sprintf("%g days, give or take %g", x.LeadDays, x.LeadDaysSD))
		}
		if x.Critical {
			s.field("Critical", "yes; it is kept in stock more surely than others")
		}
		s.partStock(x)
		for _, id := range slices.Compact(out.UsedBy) {
			if f, ok := s.base.Fix(id); ok {
				s.field("Taken by", fmt.Sprintf("%s (%s): %g in %s", f.Name, f.ID, uses[id].Qty, percent(uses[id].Chance)))
			}
		}
		s.basis(x.Basis)
	}, nil
}

func (s *shower) hold(id string) (out shownJSON, tell func(), err error) {
	h, ok := s.base.Hold(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = h
	return out, func() {
		s.title("Hold", "a safety rule that keeps checks back", h.ID)
		s.families(h.Families)
		s.field("Begins", s.triggerWords(h.When))
		s.field("Keeps back", keptBackWords(h.KeepsBack))
		if k, ok := s.base.Check(h.Until.Check); ok {
			s.field("Ends when", fmt.Sprintf("%s (%s) = %s", k.Name, k.ID, h.Until.Outcome))
		}
		s.field("Says", h.Says)
		s.cautions(h.Cautions)
		s.basis(h.Basis)
	}, nil
}

// triggerWords say when a hold begins.
func (s *shower) triggerWords(t kb.Trigger) string {
	switch x, ok := s.base.Symptom(t.Symptom); {
	case t.Starts > 0:
		return fmt.Sprintf("at %s of the burner on a job since it was last cleared", counted(t.Starts, "start"))
	case ok:
		return fmt.Sprintf("when it is found: %s (%s) = %s", x.Name, x.ID, t.Outcome)
	}
	text := "when it is done: "
	if t.Outcome != "" {
		text = "when it is found: "
	}
	if k, ok := s.base.Check(t.Check); ok {
		text += fmt.Sprintf("%s (%s)", k.Name, k.ID)
	}
	if t.Outcome != "" {
		text += " = " + t.Outcome
	}
	return text
}

func keptBackWords(k kb.KeepsBack) string {
	switch {
	case k.All:
		return "all checks"
	case k.Starting:
		return "every check that starts the burner"
	}
	return strings.Join(k.Checks, ", ")
}

func (s *shower) family(id string) (out shownJSON, tell func(), err error) {
	f, ok := s.base.Family(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = f
	return out, func() {
		of := ofFamily(s.base, id)
		s.title("Family", f.Name, f.ID, f.Was...)
		s.field("Fuel", f.Fuel)
		s.field("Has", fmt.Sprintf("%s, %s, %s and %s", counted(len(of.Symptoms), "symptom"), counted(len(of.Checks), "check"),
			counted(len(of.Causes), "cause"), countedAs(len(of.Fixes), "fix", "fixes")))
		s.cautions(f.Cautions)
		s.basis(f.Basis)
	}, nil
}

func (s *shower) component(id string) (out shownJSON, tell func(), err error) {
	x, ok := s.base.Component(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = x
	for i := range s.base.Causes {
		if s.base.Causes[i].Component == id {
			out.Causes = append(out.Causes, s.base.Causes[i].ID)
		}
	}
	return out, func() {
		s.title("Part of the equipment", x.Name, x.ID)
		s.families(x.Families)
		s.field("Can fail as", names(out.Causes, s.causeName))
	}, nil
}

func (s *shower) state(id string) (out shownJSON, tell func(), err error) {
	x, ok := s.base.State(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = x
	return out, func() {
		s.title("State", stateName(x), x.ID, x.Was...)
		s.field("A job starts with", x.Values[0])
		for _, change := range slices.Sorted(maps.Keys(x.Minutes)) {
			from, to, _ := strings.Cut(change, ">")
			s.field(fmt.Sprintf("From %s to %s", from, to), minutes(x.Minutes[change]))
		}
		for _, value := range x.Values {
			if text := x.Cautions[value]; text != "" {
				s.p.caution("  ", value+": "+text)
			}
		}
		s.basis(x.Basis)
	}, nil
}
