package cli

import (
	"fmt"
	"math"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// screen writes a ranking for people: what it probably is, what to do next in
// full, and what else could be done.
type screen struct {
	card
	causes int // how many causes are listed
	others int // how many further checks
}

const (
	screenCauses = 6
	screenOthers = 6
)

func (s *screen) write() {
	s.listCauses()
	s.doubts()
	s.holds()
	s.p.line("")
	s.next()
	s.listOthers()
}

func (s *screen) listCauses() {
	s.p.heading("What it probably is")
	shown := 0.0
	const width = 24
	for i, c := range s.rank.Causes {
		if i >= s.causes || c.Probability < 0.005 && i > 2 {
			break
		}
		shown = math.Max(shown, c.Probability)
		s.p.line("  %5s %s %s", percent(c.Probability), pad(bar(c.Probability, width), width), cut(c.Name, s.p.width-width-9))
	}
	s.p.line("  %5s %s %s", percent(s.rank.Unlisted), pad(bar(s.rank.Unlisted, width), width), "none of these (not in the base)")
}

// doubts says when what was found does not go together.
func (s *screen) doubts() {
	if x := s.rank.Suspect; x != nil {
		s.p.para("  Doubt: ", fmt.Sprintf("what was found is surprising together (%.1f bits). The finding that fits least is %q: repeat it, or undo it if it was a slip.",
			s.rank.SurpriseBits, s.name(x.Kind, x.ID)))
	}
}

func (s *screen) name(kind, id string) string {
	if kind == kb.KindSymptom {
		if x, ok := s.base.Symptom(id); ok {
			return x.Name
		}
	}
	if x, ok := s.base.Check(id); ok {
		return x.Name
	}
	return id
}

func (s *screen) holds() {
	for _, h := range s.rank.Holds {
		s.p.line("")
		s.p.line("%s", s.p.paint(yellow, "HOLD"))
		s.p.para("  ", h.Says)
		if x, ok := s.base.Hold(h.ID); ok {
			s.cautions(x.Cautions)
		}
		if k, ok := s.base.Check(h.Check); ok {
			s.p.para("  It ends when: ", fmt.Sprintf("%s = %s", k.Name, h.Outcome))
		}
	}
}

func (s *screen) next() {
	a := s.rank.Advice
	switch a.Do {
	case ranker.DoEscalate:
		s.escalate()
	case ranker.DoFix:
		for i := range s.rank.Fixes {
			if s.rank.Fixes[i].ID == a.ID {
				s.fix(&s.rank.Fixes[i])
			}
		}
	case ranker.DoCheck:
		s.nextCheck(a)
	}
	s.p.line("  Expected from here to a cure: %s.", minutes(a.ExpectedMinutes))
}

// nextCheck writes the advised check; one that ends a hold may have been done
// before, and is then not in the list.
func (s *screen) nextCheck(a ranker.Advice) {
	for i := range s.rank.Checks {
		if c := &s.rank.Checks[i]; c.Kind == a.Kind && c.ID == a.ID {
			s.check(c)
			return
		}
	}
	k, ok := s.base.Check(a.ID)
	if !ok {
		return
	}
	s.p.heading("Again, to end the hold: " + k.Name)
	s.ready(k.State, k.Skill, k.Tools)
	s.cautions(k.Cautions)
	s.steps(k.How)
	if h, ok := s.base.Hold(a.Hold); ok && s.hints.found != nil {
		s.p.para("  Record it: ", s.hints.found(kb.KindCheck, k.ID, h.Until.Outcome))
	}
}

func (s *screen) listOthers() {
	var open []*ranker.CheckRank
	for i := range s.rank.Checks {
		c := &s.rank.Checks[i]
		if advised := c.ID == s.rank.Advice.ID && c.Kind == s.rank.Advice.Kind; !advised && c.Held == nil {
			open = append(open, c)
		}
	}
	if held := s.held(); held > 0 {
		s.p.para("", fmt.Sprintf("%d checks are kept back by the hold above.", held))
	}
	if len(open) == 0 {
		return
	}
	s.p.line("")
	s.p.heading("Other checks, most told per minute first")
	s.p.line("  bits/min   min  saves  check")
	open = open[:min(s.others, len(open))]
	id := 0
	for _, c := range open {
		id = max(id, len(c.ID))
	}
	for _, c := range open {
		saves := ""
		if c.MinutesSaved != nil {
			saves = fmt.Sprintf("%.0f", math.Max(0, *c.MinutesSaved))
		}
		name := c.Name
		if c.Kind == kb.KindSymptom {
			name = "ask: " + name
		}
		s.p.line("  %8.3f  %4.0f  %5s  %s %s", c.BitsPerMinute, math.Max(1, c.Minutes+c.StateMinutes), saves,
			pad(c.ID, id), cut(name, max(8, s.p.width-26-id)))
	}
	s.p.line("  How to do one: sootsayer base show CHECK")
}

func (s *screen) held() (n int) {
	for _, c := range s.rank.Checks {
		if c.Held != nil {
			n++
		}
	}
	return n
}
