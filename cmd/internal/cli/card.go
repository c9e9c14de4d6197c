package cli

import (
	"fmt"
	"slices"
	"strings"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// card writes one thing to do in full: why, how to get ready, steps, cautions
// and what each result would mean. It is the same on every face of the command
// line: rank, job next, the sheet.
type card struct {
	p     *printer
	base  *kb.Base
	rank  *ranker.Ranking
	hints hints
}

// hints are the commands that go on from a card.
type hints struct {
	found func(kind, id, result string) string // records a result
	tried func(fix string) string              // records a fix that did not cure
	close func(cause string) string            // closes with a cause; "" where there is no job
}

// check writes a check or a symptom to ask.
func (c *card) check(r *ranker.CheckRank) {
	p := c.p
	if s, ok := c.base.Symptom(r.ID); ok && r.Kind == kb.KindSymptom {
		p.heading("Next, ask: " + s.Name)
		c.worth(r)
		p.para("  Ask: ", s.Ask)
		c.cautions(s.Cautions)
		c.results(r, nil)
		return
	}
	k, ok := c.base.Check(r.ID)
	if !ok {
		return
	}
	p.heading("Next check: " + k.Name)
	c.worth(r)
	c.ready(k.State, k.Skill, k.Tools)
	c.cautions(k.Cautions)
	c.steps(k.How)
	c.results(r, k)
}

// worth says why this check.
func (c *card) worth(r *ranker.CheckRank) {
	text := minutes(r.Minutes)
	if r.StateMinutes > 0 {
		text += " and " + minutes(r.StateMinutes) + " to get ready"
	}
	text += fmt.Sprintf("; tells %.2f bits, %.3f a minute", r.Bits, r.BitsPerMinute)
	if r.MinutesSaved != nil && *r.MinutesSaved > 0 {
		text += fmt.Sprintf("; saves about %s on the way to a cure", minutes(*r.MinutesSaved))
	}
	c.p.para("  ", text+".")
}

// ready says how the equipment must stand, who may do it and with what.
func (c *card) ready(state map[string]string, skill string, tools []string) {
	p := c.p
	if skill == "licensed" {
		p.para("  ", "Only for a technician licensed for this work.")
	}
	if len(tools) > 0 {
		p.para("  Tools: ", strings.Join(tools, ", "))
	}
	for i := range c.base.States {
		s := &c.base.States[i]
		want, needed := state[s.ID]
		if !needed {
			continue
		}
		if now := c.rank.State[s.ID]; now != want {
			p.para("  First: ", fmt.Sprintf("%s %s (it is %s)", stateName(s), want, now))
			if text := s.Cautions[want]; text != "" {
				p.caution("    ", text)
			}
		} else {
			p.para("  Stays: ", fmt.Sprintf("%s %s", stateName(s), want))
		}
	}
}

func stateName(s *kb.State) string {
	if s.Name != "" {
		return s.Name
	}
	return s.ID
}

func (c *card) cautions(list []string) {
	for _, text := range list {
		c.p.caution("  ", text)
	}
}

func (c *card) steps(how []string) {
	for i, step := range how {
		c.p.para(fmt.Sprintf("  %d. ", i+1), step)
	}
}

// results lists the outcomes with their chances and what each would make
// likely, and how to record one.
func (c *card) results(r *ranker.CheckRank, k *kb.Check) {
	p := c.p
	p.line("  Result%sChance  Then most likely", strings.Repeat(" ", 24))
	for _, o := range r.Outcomes {
		name := o.ID
		if k != nil {
			for _, out := range k.Outcomes {
				if out.ID == o.ID {
					name += " - " + out.Name
				}
			}
		}
		var then []string
		for _, t := range o.Then[:min(2, len(o.Then))] {
			if cause, ok := c.base.Cause(t.Cause); ok {
				then = append(then, fmt.Sprintf("%s %s", cause.Name, percent(t.Probability)))
			}
		}
		left := wrap(name, 28)
		right := wrap(strings.Join(then, "; "), p.width-40)
		for i := range max(len(left), len(right)) {
			chance := ""
			if i == 0 {
				chance = percent(o.Probability)
			}
			p.line("%s", strings.TrimRight(fmt.Sprintf("  %s  %6s  %s", pad(at(left, i), 28), chance, at(right, i)), " "))
		}
	}
	if c.hints.found == nil {
		return
	}
	if k != nil && k.Reading != nil {
		p.para("  Record it: ", fmt.Sprintf("%s  (N: the reading in %s)", c.hints.found(r.Kind, r.ID, "N"), unitWord(k.Reading.Unit)))
		return
	}
	p.para("  Record it: ", c.hints.found(r.Kind, r.ID, r.Outcomes[0].ID))
}

// unitWord names a unit whose sign is another word.
func unitWord(unit string) string {
	switch unit {
	case "in":
		return "inches"
	case "s":
		return "seconds"
	case "min":
		return "minutes"
	case "F":
		return "degrees F"
	case "%":
		return "percent"
	}
	return unit
}

func at(list []string, i int) string {
	if i < len(list) {
		return list[i]
	}
	return ""
}

// fix writes a fix to do.
func (c *card) fix(r *ranker.FixRank) {
	f, ok := c.base.Fix(r.ID)
	if !ok {
		return
	}
	p := c.p
	p.heading("Stop checking and fix: " + f.Name)
	p.para("  ", fmt.Sprintf("No check left is worth its minutes. This is needed with a chance of %s and takes %s with proof of operation.",
		percent(r.Probability), minutes(r.Minutes)))
	cause := ""
	for _, x := range c.rank.Causes {
		k, ok := c.base.Cause(x.ID)
		if ok && k.Fix == f.ID && x.Probability >= 0.005 {
			if cause == "" {
				cause = x.ID
			}
			p.para("  For: ", fmt.Sprintf("%s %s", k.Name, percent(x.Probability)))
		}
	}
	c.fixBody(f)
	if c.hints.close != nil {
		p.para("  It cured: ", c.hints.close(cause))
	}
	if c.hints.tried != nil {
		p.para("  It did not: ", c.hints.tried(f.ID))
	}
}

// fixBody writes what a fix takes: getting ready, parts, cautions, steps, proof.
func (c *card) fixBody(f *kb.Fix) {
	p := c.p
	c.ready(f.State, f.Skill, f.Tools)
	for _, use := range f.PartsFor(c.rank.Family) {
		part, ok := c.base.Part(use.Part)
		if !ok {
			continue
		}
		text := parts(use.Qty, part)
		if use.Chance < 1 {
			text += fmt.Sprintf(" (needed in %s)", percent(use.Chance))
		}
		p.para("  Part: ", text)
	}
	c.cautions(f.Cautions)
	c.steps(f.How)
	if proof, ok := c.base.Check(f.Proof); ok {
		p.para("  Prove it: ", proof.Name)
		c.cautions(slices.DeleteFunc(slices.Clone(proof.Cautions), func(s string) bool { return slices.Contains(f.Cautions, s) }))
	}
}

// parts names a number of pieces of a part.
func parts(n float64, part *kb.Part) string {
	text := fmt.Sprintf("%g x %s", n, part.Name)
	if part.Spec != "" {
		text += ", " + part.Spec
	}
	return text
}

// escalate says that nothing listed is worth doing.
func (c *card) escalate() {
	c.p.heading("Call the office")
	c.p.para("  ", "Neither a check nor a fix of the base is worth its minutes on what is known. Leave the heater safe and off, and ask for help.")
}
