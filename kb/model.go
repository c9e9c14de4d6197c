package kb

import (
	"fmt"
	"math"
)

// Model is the knowledge about one family as numbers: the base's tables with
// every row written out over all outcomes and every id replaced by an index.
// Package learn returns a Model moved by closed jobs; package ranker computes
// with it. A Model is never changed after it was made.
type Model struct {
	Family      string
	Unlisted    float64 // share of jobs whose cause is not listed
	SecondFault float64 // share of jobs with a second, independent cause
	Escalation  float64 // minutes when nothing listed cured it
	Floor       float64 // least probability of an outcome
	Causes      []ModelCause
	Fixes       []ModelFix
	States      []ModelState
	Observables []Observable // symptoms first, then checks, in base order
	Holds       []ModelHold
}

// ModelCause is a cause of the family. Shares sum to 1 over the causes.
type ModelCause struct {
	ID, Name string
	Share    float64
	Fix      int // index into Model.Fixes
	Effects  []Effect
}

// Effect is a cause brought along with probability P.
type Effect struct {
	Cause int // index into Model.Causes
	P     float64
}

// ModelFix is a fix of one of the family's causes. State holds the value each
// state group must have, -1 where it does not matter; Proof is the observable
// that proves operation, -1 for none.
type ModelFix struct {
	ID, Name string
	Minutes  float64
	State    []int
	Proof    int
	Cures    float64
	Parts    []PartUse
}

// ModelState is a state group; Minutes[from][to] is the cheapest way from one
// value to another, through others where that is shorter, +Inf where there is
// none.
type ModelState struct {
	ID      string
	Values  []string
	Minutes [][]float64
}

// Observable is a symptom or a check as the ranker sees it. Normally and every
// row run over Outcomes and sum to 1.
type Observable struct {
	Kind, ID, Name string
	Minutes        float64
	State          []int // as in ModelFix
	Starts         int
	Outcomes       []string
	Ranges         []Range // of the reading, one an outcome; nil without a reading
	Tolerance      Tolerance
	Normally       []float64
	Rows           []ModelRow
}

// Range is the interval of readings (From, To] that gives an outcome.
type Range struct{ From, To float64 }

// ModelRow is the outcome table given one cause alone.
type ModelRow struct {
	Cause int // index into Model.Causes
	P     []float64
}

// ModelHold is a hold of the family with its ids resolved to observables; -1
// where it names none.
type ModelHold struct {
	ID, Says       string
	Starts         int    // burner starts that bring it about; 0 when Trigger does
	Trigger        int    // observable whose finding brings it about
	TriggerOutcome string // "" for any outcome
	All, Starting  bool
	Checks         []bool // by observable, when neither All nor Starting
	Until          int
	UntilOutcome   string
	StillCounts    bool // the finding that began it stays evidence
}

// NewModel writes out the authored knowledge of one family. The base must have
// passed lint; an unknown family is an error.
func NewModel(b *Base, family string) (*Model, error) {
	if _, ok := b.Family(family); !ok {
		return nil, UnknownID("family", family, b.IDs("families"))
	}
	m := &Model{Family: family, Unlisted: b.Settings.Unlisted, SecondFault: b.Settings.SecondFault,
		Escalation: b.Settings.EscalationMinutes, Floor: b.Settings.Floor}
	for i := range b.States {
		m.States = append(m.States, newModelState(&b.States[i]))
	}
	causes, err := m.addCauses(b)
	if err != nil {
		return nil, err
	}
	m.addObservables(b, causes)
	m.addFixes(b)
	m.addHolds(b)
	return m, nil
}

// addCauses fills Causes and the fixes they need, and returns the index of
// each cause id.
func (m *Model) addCauses(b *Base) (map[string]int, error) {
	index := make(map[string]int)
	var total float64
	for i := range b.Causes {
		c := &b.Causes[i]
		if share, in := c.Share[m.Family]; in {
			index[c.ID] = len(m.Causes)
			m.Causes = append(m.Causes, ModelCause{ID: c.ID, Name: c.Name, Share: share})
			total += share
		}
	}
	if total <= 0 {
		return nil, fmt.Errorf("family %q has no cause with a share above zero; give its causes shares", m.Family)
	}
	fixes := make(map[string]int)
	for i := range m.Causes {
		mc := &m.Causes[i]
		mc.Share /= total
		c, _ := b.Cause(mc.ID)
		fix, ok := fixes[c.Fix]
		if !ok {
			fix = len(m.Fixes)
			fixes[c.Fix] = fix
			m.Fixes = append(m.Fixes, ModelFix{ID: c.Fix})
		}
		mc.Fix = fix
		for j := range b.Causes { // base order, so that equal bases give equal models
			if len(c.LeadsTo) == 0 {
				break
			}
			effect := b.Causes[j].ID
			if p, leads := c.LeadsTo[effect]; leads && p > 0 {
				if e, in := index[effect]; in {
					mc.Effects = append(mc.Effects, Effect{Cause: e, P: p})
				}
			}
		}
	}
	return index, nil
}

func (m *Model) addObservables(b *Base, causes map[string]int) {
	for i := range b.Symptoms {
		s := &b.Symptoms[i]
		if !In(s.Families, m.Family) {
			continue
		}
		o := Observable{Kind: KindSymptom, ID: s.ID, Name: s.Name, Minutes: s.Minutes,
			State: m.requirement(nil), Outcomes: []string{No, Yes}}
		m.Observables = append(m.Observables, o.withTables(s.Normally, s.If, causes))
	}
	for i := range b.Checks {
		c := &b.Checks[i]
		if !In(c.Families, m.Family) {
			continue
		}
		o := Observable{Kind: KindCheck, ID: c.ID, Name: c.Name, Minutes: c.Minutes,
			State: m.requirement(c.State), Starts: c.Starts}
		for _, out := range c.Outcomes {
			o.Outcomes = append(o.Outcomes, out.ID)
			if c.Reading != nil {
				o.Ranges = append(o.Ranges, out.Range())
			}
		}
		if c.Reading != nil {
			o.Tolerance = c.Reading.Tolerance
		}
		m.Observables = append(m.Observables, o.withTables(c.Normally, c.If, causes))
	}
}

// Range returns the outcome's interval, unbounded sides as infinities.
func (o Outcome) Range() Range {
	r := Range{From: math.Inf(-1), To: math.Inf(1)}
	if o.From != nil {
		r.From = *o.From
	}
	if o.To != nil {
		r.To = *o.To
	}
	return r
}

func (o Observable) withTables(normally Table, rows Rows, causes map[string]int) Observable {
	o.Normally = make([]float64, len(o.Outcomes))
	for j, out := range o.Outcomes {
		o.Normally[j], _ = normally.P(out)
	}
	normalise(o.Normally)
	flat := make([]float64, len(rows)*len(o.Outcomes))
	for _, row := range rows {
		c, in := causes[row.Cause]
		if !in {
			continue
		}
		p := flat[:len(o.Outcomes):len(o.Outcomes)]
		flat = flat[len(o.Outcomes):]
		writeOut(p, row.Table, o.Outcomes, o.Normally)
		o.Rows = append(o.Rows, ModelRow{Cause: c, P: p})
	}
	return o
}

// writeOut fills p with a row: the outcomes it names as written, the rest
// spread over the others as normally spreads it.
func writeOut(p []float64, t Table, outcomes []string, normally []float64) {
	var named, rest float64
	for j, out := range outcomes {
		v, ok := t.P(out)
		if !ok {
			p[j] = -1
			rest += normally[j]
			continue
		}
		p[j] = v
		named += v
	}
	for j := range p {
		if p[j] < 0 {
			p[j] = 0
			if rest > 0 {
				p[j] = math.Max(0, 1-named) * normally[j] / rest
			}
		}
	}
	normalise(p)
}

func normalise(p []float64) {
	var sum float64
	for _, v := range p {
		sum += v
	}
	if sum <= 0 {
		return
	}
	for j := range p {
		p[j] /= sum
	}
}

func (m *Model) addFixes(b *Base) {
	for i := range m.Fixes {
		f := &m.Fixes[i]
		f.Proof = -1
		f.State = m.requirement(nil)
		src, ok := b.Fix(f.ID)
		if !ok {
			continue // lint refuses this; the ranker would escalate instead
		}
		f.Name, f.Minutes, f.Cures, f.Parts = src.Name, src.Minutes, src.Cures, src.PartsFor(m.Family)
		f.State = m.requirement(src.State)
		if src.Proof != "" {
			f.Proof = m.ObservableIndex(KindCheck, src.Proof)
		}
	}
}

// PartsFor returns the parts that the fix may take on a family's equipment.
func (f *Fix) PartsFor(family string) []PartUse {
	var out []PartUse
	for _, p := range f.Parts {
		if len(p.Families) == 0 || In(p.Families, family) {
			out = append(out, p)
		}
	}
	return out
}

func (m *Model) addHolds(b *Base) {
	for i := range b.Holds {
		h := &b.Holds[i]
		if !In(h.Families, m.Family) {
			continue
		}
		mh := ModelHold{ID: h.ID, Says: h.Says, Starts: h.When.Starts, Trigger: -1, TriggerOutcome: h.When.Outcome,
			All: h.KeepsBack.All, Starting: h.KeepsBack.Starting,
			Until: m.ObservableIndex(KindCheck, h.Until.Check), UntilOutcome: h.Until.Outcome, StillCounts: h.StillCounts}
		switch {
		case h.When.Symptom != "":
			mh.Trigger = m.ObservableIndex(KindSymptom, h.When.Symptom)
		case h.When.Check != "":
			mh.Trigger = m.ObservableIndex(KindCheck, h.When.Check)
		}
		if !mh.All && !mh.Starting {
			mh.Checks = make([]bool, len(m.Observables))
			for _, id := range h.KeepsBack.Checks {
				if o := m.ObservableIndex(KindCheck, id); o >= 0 {
					mh.Checks[o] = true
				}
			}
		}
		m.Holds = append(m.Holds, mh)
	}
}

// ObservableIndex returns the index of a symptom or check, or -1.
func (m *Model) ObservableIndex(kind, id string) int {
	for i := range m.Observables {
		if m.Observables[i].Kind == kind && m.Observables[i].ID == id {
			return i
		}
	}
	return -1
}

// CauseIndex returns the index of a cause, or -1.
func (m *Model) CauseIndex(id string) int {
	for i := range m.Causes {
		if m.Causes[i].ID == id {
			return i
		}
	}
	return -1
}

// FixIndex returns the index of a fix, or -1.
func (m *Model) FixIndex(id string) int {
	for i := range m.Fixes {
		if m.Fixes[i].ID == id {
			return i
		}
	}
	return -1
}
