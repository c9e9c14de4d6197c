package cli

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// tables writes what closed jobs showed of results. Of a symptom it is enough to
// say how often it is there.
func (p *printer) tables(b *kb.Base, list []learn.TableChange, all bool) {
	list = slices.DeleteFunc(slices.Clone(list), func(c learn.TableChange) bool {
		return c.Outcome == kb.No && strings.HasPrefix(c.Observable, kb.KindSymptom+"/")
	})
	p.heading("Chances of results that closed jobs moved, the most first")
	if len(list) == 0 {
		p.line("  None yet.")
		return
	}
	p.line("  start    now   jobs  result")
	for i, c := range list {
		if i == mostPriors && !all {
			p.line("  %d more; --all lists them.", len(list)-i)
			return
		}
		p.para(fmt.Sprintf("  %5s  %5s  %5s  ", percent(c.Start), percent(c.Now), jobsWord(c.Jobs)), fmt.Sprintf("%s: %s, %s", c.Name, c.Outcome, tableOf(b, c.Cause)))
	}
}

// changes writes what else closed jobs of a family showed, what moved most
// first.
func (p *printer) changes(f *familyPriors, all bool) {
	p.heading(fmt.Sprintf("Cures, effects, minutes and parts that closed jobs moved (%s)", f.Family))
	if len(f.Changes) == 0 {
		p.line("  None yet.")
		return
	}
	list := slices.Clone(f.Changes)
	slices.SortStableFunc(list, func(a, b learn.Change) int { return cmp.Compare(farMoved(b), farMoved(a)) })
	p.line("   start      now      90%% between    jobs  what")
	for i, c := range list {
		if i == mostPriors && !all {
			p.line("  %d more; --all lists them.", len(list)-i)
			return
		}
		p.para(fmt.Sprintf("  %6s   %6s  %6s - %6s  %4s  ", changeWord(c, c.Start), changeWord(c, c.Now), changeWord(c, c.Low), changeWord(c, c.High), jobsWord(c.Jobs)), changeName(c))
	}
}

// farMoved is how far a chance moved, or minutes as a share of what they were,
// rounded so that what moved alike stays a tie.
func farMoved(c learn.Change) float64 {
	far := math.Abs(c.Now - c.Start)
	if c.Kind == learn.ChangeMinutes && c.Start > 0 {
		far /= c.Start
	}
	return math.Round(far * 1e9)
}

// changeWord writes a chance, or minutes.
func changeWord(c learn.Change, x float64) string {
	if c.Kind == learn.ChangeMinutes {
		return fmt.Sprintf("%.1f m", x)
	}
	return percent(x)
}

// changeName says what a number is of.
func changeName(c learn.Change) string {
	switch c.Kind {
	case learn.ChangeCure:
		return "cures: " + c.Name
	case learn.ChangePart:
		return "takes the part: " + c.Name
	case learn.ChangeMinutes:
		return "minutes: " + c.Name
	}
	return c.Name
}

// tableOf says under which cause a chance stands.
func tableOf(b *kb.Base, cause string) string {
	if x, ok := b.Cause(cause); ok {
		return "when it is: " + x.Name
	}
	return "when it is nothing that bears on it"
}
