package ranker

import (
	"fmt"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

const testFamily = "kiln"

// drawBase draws a small invented base: states, causes that share fixes and
// lead to one another, symptoms, checks with and without readings.
func drawBase(t *rapid.T) *kb.Base {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: testFamily, Name: "Kiln"}}}
	b.Settings.Unlisted = rapid.SampledFrom([]float64{0, 0.04, 0.3}).Draw(t, "unlisted")
	b.Settings.SecondFault = rapid.SampledFrom([]float64{0, 0.05, 0.4}).Draw(t, "second")
	b.Settings.Floor = rapid.SampledFrom([]float64{0, 0.0001, 0.02}).Draw(t, "floor")
	b.Settings.EscalationMinutes = rapid.Float64Range(5, 300).Draw(t, "escalation")
	b.States = []kb.State{
		{ID: "power", Values: []string{"on", "off"}, Minutes: map[string]float64{"on>off": 1, "off>on": 0.5}},
		{ID: "door", Values: []string{"shut", "open"}, Minutes: map[string]float64{"shut>open": 3, "open>shut": 2}},
	}
	causes := rapid.IntRange(1, 6).Draw(t, "causes")
	fixes := rapid.IntRange(1, causes).Draw(t, "fixes")
	state := rapid.SampledFrom([]map[string]string{nil, {"power": "off"}, {"power": "on", "door": "open"}, {"door": "shut"}})
	for i := range rapid.IntRange(1, 5).Draw(t, "checks") {
		b.Checks = append(b.Checks, drawCheck(t, i, causes, state))
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "symptoms") {
		s := kb.Symptom{ID: fmt.Sprintf("s%d", i), Families: []string{testFamily}, Minutes: 0.5}
		outcomes := []kb.Outcome{{ID: kb.No}, {ID: kb.Yes}}
		s.Normally = drawTable(t, outcomes, nil)
		s.If = drawRows(t, outcomes, causes, s.Normally)
		b.Symptoms = append(b.Symptoms, s)
	}
	for i := range fixes {
		b.Fixes = append(b.Fixes, kb.Fix{ID: fmt.Sprintf("f%d", i), Minutes: rapid.Float64Range(1, 60).Draw(t, "fix minutes"),
			State: state.Draw(t, "fix state"), Cures: rapid.SampledFrom([]float64{0.5, 0.9, 0.97}).Draw(t, "cures"),
			Proof: rapid.SampledFrom([]string{"", "c0"}).Draw(t, "proof")})
	}
	for i := range causes {
		c := kb.Cause{ID: fmt.Sprintf("x%d", i), Share: map[string]float64{testFamily: rapid.SampledFrom([]float64{0, 1, 2, 9}).Draw(t, "share")},
			Fix: fmt.Sprintf("f%d", min(i, rapid.IntRange(0, fixes-1).Draw(t, "fix")))}
		for j := i + 1; j < causes; j++ {
			if p := rapid.SampledFrom([]float64{0, 0, 0, 0.2, 1}).Draw(t, "leads"); p > 0 {
				if c.LeadsTo == nil {
					c.LeadsTo = map[string]float64{}
				}
				c.LeadsTo[fmt.Sprintf("x%d", j)] = p
			}
		}
		b.Causes = append(b.Causes, c)
	}
	b.Causes[0].Share[testFamily] += 1 // at least one cause has a share
	b.Reindex()
	return b
}

func drawCheck(t *rapid.T, i, causes int, state *rapid.Generator[map[string]string]) kb.Check {
	c := kb.Check{ID: fmt.Sprintf("c%d", i), Families: []string{testFamily},
		Minutes: rapid.Float64Range(0.5, 20).Draw(t, "minutes"), State: state.Draw(t, "state")}
	k := rapid.IntRange(2, 6).Draw(t, "outcomes") // both of the engine's loops: up to four outcomes, and more
	for j := range k {
		c.Outcomes = append(c.Outcomes, kb.Outcome{ID: fmt.Sprintf("o%d", j)})
	}
	if rapid.Bool().Draw(t, "has reading") {
		c.Reading = &kb.Reading{Unit: "ohm", Tolerance: kb.Tolerance{Value: 5}}
		for j := range k {
			lo, hi := float64(10*j), float64(10*j+10)
			if j > 0 {
				c.Outcomes[j].From = &lo
			}
			if j < k-1 {
				c.Outcomes[j].To = &hi
			}
		}
	}
	c.Normally = drawTable(t, c.Outcomes, nil)
	c.If = drawRows(t, c.Outcomes, causes, c.Normally)
	return c
}

// drawTable draws a full table, or given 'normally' sometimes a short row that
// leaves the rest to outcomes which have a share of it.
func drawTable(t *rapid.T, outcomes []kb.Outcome, normally kb.Table) kb.Table {
	var table kb.Table
	var sum float64
	for _, o := range outcomes {
		p := rapid.SampledFrom([]float64{0, 0.01, 0.1, 0.3, 1}).Draw(t, "p")
		table = append(table, kb.Prob{Outcome: o.ID, P: p})
		sum += p
	}
	if sum == 0 {
		table[0].P, sum = 1, 1
	}
	for j := range table {
		table[j].P /= sum
	}
	if last := len(outcomes) - 1; normally != nil && normally[last].P < 1 && rapid.Bool().Draw(t, "short") {
		return kb.Table{{Outcome: outcomes[last].ID, P: 0.7}}
	}
	return table
}

func drawRows(t *rapid.T, outcomes []kb.Outcome, causes int, normally kb.Table) kb.Rows {
	var rows kb.Rows
	for i := range causes {
		if rapid.Bool().Draw(t, "row") {
			rows = append(rows, kb.Row{Cause: fmt.Sprintf("x%d", i), Table: drawTable(t, outcomes, normally)})
		}
	}
	return rows
}

// drawSteps draws findings (outcomes, readings, doubtful ones) and tried fixes.
func drawSteps(t *rapid.T, b *kb.Base) []oracleStep {
	var steps []oracleStep
	o := newOracle(b, testFamily)
	obs := o.observables()
	used := map[string]bool{}
	for _, c := range b.Causes {
		used[c.Fix] = true
	}
	for range rapid.IntRange(0, 5).Draw(t, "steps") {
		if f := rapid.SampledFrom(b.Fixes).Draw(t, "tried"); used[f.ID] && rapid.IntRange(0, 3).Draw(t, "what") == 0 {
			steps = append(steps, oracleStep{tried: f.ID})
			continue
		}
		x := rapid.SampledFrom(obs).Draw(t, "observable")
		f := kb.Finding{Kind: x.kind, ID: x.id}
		switch how := rapid.IntRange(0, 2).Draw(t, "how"); {
		case how == 0 && x.reading != nil:
			r := rapid.Float64Range(0, 40).Draw(t, "reading")
			f.Reading = &r
		case how == 1:
			f.Weights = map[string]float64{x.outcomes[0].ID: 0.7, x.outcomes[1].ID: 0.3}
		default:
			f.Outcome = rapid.SampledFrom(x.outcomes).Draw(t, "outcome").ID
		}
		steps = append(steps, oracleStep{finding: &f})
	}
	return steps
}

func acts(steps []oracleStep) []kb.Act {
	var out []kb.Act
	for _, s := range steps {
		out = append(out, kb.Act{Finding: s.finding, Tried: s.tried})
	}
	return out
}
