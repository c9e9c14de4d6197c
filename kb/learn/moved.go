package learn

import (
	"math"
	"time"

	"gonum.org/v1/gonum/mathext"

	"sootsayer/kb"
)

// The kinds of numbers that Changes lists.
const (
	ChangeEffect  = "effect"  // chance that a cause brings another one along; ID "cause>effect"
	ChangeCure    = "cure"    // chance that a fix holds; ID of the fix
	ChangeMinutes = "minutes" // of a check or symptom, or of a fix with its proof; ID "check/ID", "symptom/ID" or "fix/ID"
	ChangePart    = "part"    // chance that a fix takes a part; ID "fix/part"
)

// Change is a number of a family other than a share or an outcome table, as
// authored and as learned, with a 90 % interval: the central one of its Beta
// posterior for a chance. That of minutes is for their mean if their spread were
// known: Student's interval of the mean logarithm.
type Change struct {
	Kind     string  `json:"kind"`
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	Start    float64 `json:"start"`
	Now      float64 `json:"now"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	Jobs     int     `json:"jobs"`     // times behind it
	Weighted float64 `json:"weighted"` // what they weigh now
}

// Changes lists every effect, cure, time and part of a family that has a closed
// job behind it, kind by kind in base order; nil for an unknown family.
func (c *Counts) Changes(b *kb.Base, family string, now time.Time) []Change {
	m, err := kb.NewModel(b, family)
	if err != nil {
		return nil
	}
	l := changeList{c: c, b: b, m: m, settings: &b.Settings, scale: c.Now(now)}
	l.effects()
	l.cures()
	l.minutes()
	l.parts()
	return l.list
}

// changeList gathers changes from an authored model.
type changeList struct {
	c        *Counts
	b        *kb.Base
	m        *kb.Model
	settings *kb.Settings
	scale    float64
	list     []Change
}

// chance appends a chance that was tried out.
func (l *changeList) chance(kind, id, name string, p beta, jobs int, weighted float64) {
	if jobs <= 0 {
		return
	}
	low, high := Interval(p.a, p.b, priorLevel)
	l.list = append(l.list, Change{Kind: kind, ID: id, Name: name, Start: p.start, Now: p.mean(), Low: low, High: high, Jobs: jobs, Weighted: weighted})
}

func (l *changeList) trials(kind, id, name string, start float64, t Trials) {
	l.chance(kind, id, name, t.posterior(l.settings.Strength, start, l.scale), t.Jobs, Tally{t.Jobs, t.Weight}.at(l.scale))
}

func (l *changeList) effects() {
	f := l.c.Families[l.m.Family]
	if f == nil {
		return
	}
	for i := range l.m.Causes {
		from := &l.m.Causes[i]
		for _, e := range from.Effects {
			to := &l.m.Causes[e.Cause]
			key := effectKey(from.ID, to.ID)
			l.trials(ChangeEffect, key, from.Name+" brings along "+to.Name, e.P, f.Effects[key])
		}
	}
}

func (l *changeList) cures() {
	for i := range l.m.Fixes {
		f := &l.m.Fixes[i]
		if counts := l.c.Fixes[f.ID]; counts != nil {
			l.trials(ChangeCure, f.ID, f.Name, f.Cures, counts.Cures)
		}
	}
}

func (l *changeList) minutes() {
	for i := range l.m.Observables {
		o := &l.m.Observables[i]
		key := o.Kind + "/" + o.ID
		l.lasted(key, o.Name, o.Minutes, o.Minutes, l.c.Minutes[key])
	}
	for i := range l.m.Fixes {
		f := &l.m.Fixes[i]
		counts := l.c.Fixes[f.ID]
		if counts == nil {
			continue
		}
		total, start := f.Minutes, f.Minutes
		if f.Proof >= 0 {
			proof := &l.m.Observables[f.Proof]
			total += proof.Minutes
			start += l.c.Minutes[proof.Kind+"/"+proof.ID].expected(proof.Minutes, l.settings.MinutesStrength, l.scale)
		}
		l.lasted("fix/"+f.ID, f.Name, total, start, counts.Minutes)
	}
}

// lasted appends minutes that were authored as `authored` and are learned from
// `start`.
func (l *changeList) lasted(id, name string, authored, start float64, m LogMinutes) {
	n, mean, variance := m.at(l.scale)
	if m.Jobs <= 0 || !(start > 0) {
		return
	}
	p := startMinutes(start, l.settings.MinutesStrength).after(n, mean, variance)
	learned := m.expected(start, l.settings.MinutesStrength, l.scale)
	low, high := p.interval(priorLevel)
	l.list = append(l.list, Change{Kind: ChangeMinutes, ID: id, Name: name, Start: authored, Now: learned,
		Low: learned * math.Exp(low-p.mu), High: learned * math.Exp(high-p.mu), Jobs: m.Jobs, Weighted: n})
}

// interval is the central interval of the mean: Student's t with 2 alpha degrees
// of freedom around mu, of scale sqrt(beta / (alpha kappa)). Where there is
// nothing behind it, it is empty.
func (p nig) interval(level float64) (low, high float64) {
	alpha := p.above + 1
	if !(p.kappa > 0) || !(alpha > 0) {
		return p.mu, p.mu
	}
	x := mathext.InvRegIncBeta(0.5, alpha, level) // t^2 / (2 alpha + t^2)
	half := math.Sqrt(2*alpha*x/(1-x)) * math.Sqrt(p.beta/(alpha*p.kappa))
	return p.mu - half, p.mu + half
}

func (l *changeList) parts() {
	for i := range l.m.Fixes {
		f := &l.m.Fixes[i]
		counts := l.c.piecesOf(l.m.Family, f.ID)
		for _, use := range f.Parts {
			t := counts.table(use, l.settings.TableStrength, l.scale)
			p := posterior(l.settings.TableStrength, use.Chance, t.Uses, t.Weighted)
			name := use.Part
			if part, ok := l.b.Part(use.Part); ok {
				name = part.Name
			}
			l.chance(ChangePart, f.ID+"/"+use.Part, f.Name+": "+name, p, t.Jobs, t.Weighted)
		}
	}
}
