package cli

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// causeShare is how often a cause is the root cause in a family.
type causeShare struct {
	Family string `json:"family"`
	learn.Prior
}

// namedShare is a cause and a chance.
type namedShare struct {
	ID     string  `json:"id"`
	Chance float64 `json:"chance"`
}

// speaks is a symptom or check that has a row for a cause: the outcome that the
// cause makes more likely most of all, its chance then and else.
type speaks struct {
	Kind    string  `json:"kind"`
	ID      string  `json:"id"`
	Outcome string  `json:"outcome"`
	Then    float64 `json:"then"`
	Else    float64 `json:"else"`

	name string
}

func (s *shower) cause(id string) (out shownJSON, tell func(), err error) {
	c, ok := s.base.Cause(id)
	if !ok {
		return out, nil, nil
	}
	out.Entry = c
	families := slices.DeleteFunc(s.base.IDs("families"), func(f string) bool { _, in := c.Share[f]; return !in })
	for _, f := range families {
		priors, err := s.shop.Priors(f, "")
		if err != nil {
			return out, nil, err
		}
		for _, p := range priors {
			if p.ID == id {
				out.Shares = append(out.Shares, causeShare{f, p})
			}
		}
	}
	for i := range s.base.Causes {
		if p, ok := s.base.Causes[i].LeadsTo[id]; ok {
			out.BroughtBy = append(out.BroughtBy, namedShare{s.base.Causes[i].ID, p})
		}
	}
	if out.SpokenOf, err = s.spokenOf(id, families); err != nil {
		return out, nil, err
	}
	return out, func() { s.tellCause(c, families, &out) }, nil
}

func (s *shower) tellCause(c *kb.Cause, families []string, out *shownJSON) {
	s.title("Cause", c.Name, c.ID, c.Was...)
	s.families(families)
	if x, ok := s.base.Component(c.Component); ok {
		s.field("Part of the equipment", fmt.Sprintf("%s (%s)", x.Name, x.ID))
	}
	s.field("How it fails", c.Mode)
	s.field("Note", c.Note)
	s.p.line("  Root cause, out of the jobs whose cause is listed:")
	for i := range out.Shares {
		x := &out.Shares[i]
		text := fmt.Sprintf("%.1f%% at the start", 100*x.Start)
		if x.Jobs > 0 || x.Now != x.Start {
			text += fmt.Sprintf(", %.1f%% now after %s with it (90%% between %.1f%% and %.1f%%)", 100*x.Now, counted(x.Jobs, "closed job"), 100*x.Low, 100*x.High)
		}
		s.p.para("    "+x.Family+": ", text)
	}
	for _, e := range slices.Sorted(maps.Keys(c.LeadsTo)) {
		s.field("Brings along", fmt.Sprintf("%s (%s), in %s", s.causeName(e), e, percent(c.LeadsTo[e])))
	}
	for _, f := range out.BroughtBy {
		s.field("Brought by", fmt.Sprintf("%s (%s), in %s", s.causeName(f.ID), f.ID, percent(f.Chance)))
	}
	if f, ok := s.base.Fix(c.Fix); ok {
		s.field("Fix", fmt.Sprintf("%s (%s)", f.Name, f.ID))
	}
	if len(out.SpokenOf) > 0 {
		s.p.line("  What speaks of it, the strongest first:")
	}
	for _, x := range out.SpokenOf {
		what := x.name
		if x.Kind == kb.KindSymptom {
			what = "ask: " + what
		}
		s.p.para("    ", fmt.Sprintf("%s (%s): %s in %s, else in %s", what, x.ID, x.Outcome, percent(x.Then), percent(x.Else)))
	}
	s.basis(c.Basis)
	s.p.para("  Close a job with it: ", "sootsayer job close --cause "+c.ID)
}

// spokenOf lists the symptoms and checks that have a row for a cause, as
// authored, those whose chances it changes most first.
func (s *shower) spokenOf(cause string, families []string) ([]speaks, error) {
	var out []speaks
	for _, family := range families {
		m, err := kb.NewModel(s.base, family)
		if err != nil {
			return nil, err
		}
		c := m.CauseIndex(cause)
		for i := range m.Observables {
			o := &m.Observables[i]
			for _, r := range o.Rows {
				if r.Cause != c || slices.ContainsFunc(out, func(x speaks) bool { return x.Kind == o.Kind && x.ID == o.ID }) {
					continue
				}
				x := speaks{Kind: o.Kind, ID: o.ID, name: o.Name, Outcome: o.Outcomes[0], Then: r.P[0], Else: o.Normally[0]}
				for j := range r.P {
					if r.P[j]-o.Normally[j] > x.Then-x.Else {
						x.Outcome, x.Then, x.Else = o.Outcomes[j], r.P[j], o.Normally[j]
					}
				}
				out = append(out, x)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b speaks) int { return cmp.Compare(b.Then-b.Else, a.Then-a.Else) })
	return out, nil
}
