package cli

import (
	"fmt"

	"sootsayer/ranker"
)

// explained is what --explain adds to a ranking's JSON.
type explained struct {
	Cause     string           `json:"cause"`
	PriorBits float64          `json:"prior_bits"` // log2 odds before anything was found
	Supports  []ranker.Support `json:"supports"`
}

const explainCauses = 3

// why works out what speaks for and against the likeliest causes.
func why(b *ranker.Belief, r *ranker.Ranking) ([]explained, error) {
	var out []explained
	for _, c := range r.Causes[:min(explainCauses, len(r.Causes))] {
		prior, supports, err := b.Why(c.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, explained{Cause: c.ID, PriorBits: prior, Supports: supports})
	}
	return out, nil
}

// explain writes it in words.
func (s *screen) explain(list []explained) {
	p := s.p
	p.line("")
	p.heading("Why these causes")
	for i, x := range list {
		p.line("  %s, %s", s.rank.Causes[i].Name, percent(s.rank.Causes[i].Probability))
		p.line("    %+6.1f bits  how often it is the cause at all", x.PriorBits)
		for _, e := range x.Supports {
			word := "speaks for it"
			if e.Bits < 0 {
				word = "speaks against it"
			}
			if e.Bits > -0.05 && e.Bits < 0.05 {
				word = "says nothing of it"
			}
			what := s.name(e.Kind, e.ID)
			if f, ok := s.base.Fix(e.ID); ok && e.Kind == "fix" {
				what = "no cure after: " + f.Name
			}
			p.para(fmt.Sprintf("    %+6.1f bits  ", e.Bits), fmt.Sprintf("%s: %s", what+s.outcome(e.Kind, e.ID), word))
		}
	}
	p.para("  ", "One bit doubles the odds of a cause; the bits add up to its odds now.")
}

// outcome is what was found, as in " = yes".
func (s *screen) outcome(kind, id string) string {
	for _, e := range s.rank.Evidence {
		if e.Kind != kind || e.ID != id {
			continue
		}
		switch {
		case e.Reading != nil:
			return fmt.Sprintf(" = %g", *e.Reading)
		case e.Outcome != "":
			return " = " + e.Outcome
		}
		return " (doubtful)"
	}
	return ""
}
