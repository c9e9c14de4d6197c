package ranker

import (
	"math"
	"slices"
	"sort"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// oracle is the contract's sections 4 and 5 written down plainly: it lists the
// hypotheses one by one from the authored base and computes everything from
// them by summing, with no index, no grouping and nothing left out. The engine
// is compared with it.
type oracle struct {
	b      *kb.Base
	family string
	causes []*kb.Cause
	share  map[string]float64
	hyps   []oracleHyp
	steps  []oracleStep
	stand  map[string]string
}

type oracleHyp struct {
	set      []string // present when the job began
	now      []string // still present
	roots    []string
	weight   float64
	unlisted bool
}

type oracleStep struct {
	finding *kb.Finding
	tried   string
}

func newOracle(b *kb.Base, family string) *oracle {
	o := &oracle{b: b, family: family, share: map[string]float64{}, stand: map[string]string{}}
	var total float64
	for i := range b.Causes {
		if w, in := b.Causes[i].Share[family]; in {
			o.causes = append(o.causes, &b.Causes[i])
			total += w
		}
	}
	var positive int
	for _, c := range o.causes {
		o.share[c.ID] = c.Share[family] / total
		if o.share[c.ID] > 0 {
			positive++
		}
	}
	for _, s := range b.States {
		o.stand[s.ID] = s.Values[0]
	}
	d := b.Settings.SecondFault
	if positive < 2 {
		d = 0
	}
	u := b.Settings.Unlisted
	o.hyps = append(o.hyps, oracleHyp{unlisted: true, weight: u})
	for _, c := range o.causes {
		o.addRoot(c, (1-u)*(1-d)*o.share[c.ID])
	}
	var pairs float64
	for i, a := range o.causes {
		for _, c := range o.causes[i+1:] {
			pairs += o.share[a.ID] * o.share[c.ID]
		}
	}
	if d > 0 {
		for i, a := range o.causes {
			for _, c := range o.causes[i+1:] {
				w := (1 - u) * d * o.share[a.ID] * o.share[c.ID] / pairs
				o.hyps = append(o.hyps, oracleHyp{set: []string{a.ID, c.ID}, roots: []string{a.ID, c.ID}, weight: w})
			}
		}
	}
	for i := range o.hyps {
		o.hyps[i].now = slices.Clone(o.hyps[i].set)
	}
	return o
}

// addRoot tries every subset of the family's causes as the effects of a root
// and weighs it by the cascade's formula.
func (o *oracle) addRoot(root *kb.Cause, mass float64) {
	reach := o.reach(root.ID, map[string]bool{})
	n := len(reach)
	for bits := range 1 << n {
		present := map[string]bool{root.ID: true}
		for i, e := range reach {
			if bits>>i&1 == 1 {
				present[e] = true
			}
		}
		p := mass
		for _, e := range reach {
			absent := 1.0
			for _, f := range o.causes {
				if present[f.ID] {
					absent *= 1 - f.LeadsTo[e]
				}
			}
			if present[e] {
				p *= 1 - absent
			} else {
				p *= absent
			}
		}
		var set []string
		for c := range present {
			set = append(set, c)
		}
		sort.Strings(set)
		o.hyps = append(o.hyps, oracleHyp{set: set, roots: []string{root.ID}, weight: p})
	}
}

func (o *oracle) reach(c string, seen map[string]bool) []string {
	var out []string
	for _, x := range o.causes {
		if x.ID != c {
			continue
		}
		for _, e := range o.causes {
			if x.LeadsTo[e.ID] > 0 && !seen[e.ID] {
				seen[e.ID] = true
				out = append(out, e.ID)
				out = append(out, o.reach(e.ID, seen)...)
			}
		}
	}
	return out
}

// oracleObs is an observable as authored.
type oracleObs struct {
	kind, id string
	minutes  float64
	state    map[string]string
	outcomes []kb.Outcome
	normally kb.Table
	rows     kb.Rows
	reading  *kb.Reading
}

func (o *oracle) observables() []oracleObs {
	var out []oracleObs
	for _, s := range o.b.Symptoms {
		if kb.In(s.Families, o.family) {
			out = append(out, oracleObs{kind: kb.KindSymptom, id: s.ID, minutes: s.Minutes,
				outcomes: []kb.Outcome{{ID: kb.No}, {ID: kb.Yes}}, normally: s.Normally, rows: s.If})
		}
	}
	for _, c := range o.b.Checks {
		if kb.In(c.Families, o.family) {
			out = append(out, oracleObs{kind: kb.KindCheck, id: c.ID, minutes: c.Minutes, state: c.State,
				outcomes: c.Outcomes, normally: c.Normally, rows: c.If, reading: c.Reading})
		}
	}
	return out
}

func (o *oracle) observable(kind, id string) oracleObs {
	for _, t := range o.observables() {
		if t.kind == kind && t.id == id {
			return t
		}
	}
	panic("no " + id)
}

// row writes a row out over all outcomes.
func (t oracleObs) row(table kb.Table) []float64 {
	p := make([]float64, len(t.outcomes))
	var named, rest float64
	for _, out := range t.outcomes {
		if v, ok := table.P(out.ID); ok {
			named += v
		} else {
			n, _ := t.normally.P(out.ID)
			rest += n
		}
	}
	for j, out := range t.outcomes {
		v, ok := table.P(out.ID)
		n, _ := t.normally.P(out.ID)
		switch {
		case ok:
			p[j] = v
		case rest > 0:
			p[j] = (1 - named) * n / rest
		}
	}
	return p
}

// table is P(outcome | hypothesis).
func (o *oracle) table(t oracleObs, h oracleHyp) []float64 {
	normally := t.row(t.normally)
	rows := map[string][]float64{}
	for _, r := range t.rows {
		rows[r.Cause] = t.row(r.Table)
	}
	p := make([]float64, len(t.outcomes))
	var with []string
	for _, c := range h.now {
		if rows[c] != nil {
			with = append(with, c)
		}
	}
	switch {
	case h.unlisted:
		for _, c := range o.causes {
			row := rows[c.ID]
			if row == nil {
				row = normally
			}
			for j := range p {
				p[j] += o.share[c.ID] * row[j]
			}
		}
	case len(with) == 0:
		copy(p, normally)
	case len(with) == 1:
		copy(p, rows[with[0]])
	default:
		cumulative := func(q []float64, j int) (s float64) {
			for _, v := range q[:j+1] {
				s += v
			}
			return s
		}
		var before float64
		for j := range p {
			f := cumulative(normally, j)
			for _, c := range with {
				z := 1.0
				for i := j; i < len(p); i++ {
					if n := cumulative(normally, i); n > 0 {
						z = math.Min(z, cumulative(rows[c], i)/n)
					} else if cumulative(rows[c], i) == 0 {
						z = math.Min(z, 1)
					}
				}
				f *= z
			}
			p[j] = f - before
			before = f
		}
	}
	var sum float64
	for j := range p {
		p[j] = math.Max(p[j], o.b.Settings.Floor)
		sum += p[j]
	}
	for j := range p {
		p[j] /= sum
	}
	return p
}

// weights of a finding over the outcomes; readings by their own Gaussian sums.
func (t oracleObs) weights(f *kb.Finding) []float64 {
	w := make([]float64, len(t.outcomes))
	for j, out := range t.outcomes {
		switch {
		case f.Reading != nil:
			lo, hi := math.Inf(-1), math.Inf(1)
			if out.From != nil {
				lo = *out.From
			}
			if out.To != nil {
				hi = *out.To
			}
			s := t.reading.Tolerance.StandardError(*f.Reading)
			phi := func(x float64) float64 { return 0.5 * (1 + math.Erf(x/math.Sqrt2)) }
			w[j] = phi((hi-*f.Reading)/s) - phi((lo-*f.Reading)/s)
		case f.Weights != nil:
			w[j] = f.Weights[out.ID]
		case f.Outcome == out.ID:
			w[j] = 1
		}
	}
	return w
}

// find counts a finding; steps are replayed from the start so that a repeated
// check replaces its earlier finding.
func (o *oracle) record(steps []oracleStep) {
	fresh := newOracle(o.b, o.family)
	o.hyps = fresh.hyps
	for i, s := range steps {
		if s.finding != nil {
			t := o.observable(s.finding.Kind, s.finding.ID)
			for k, v := range t.state {
				o.stand[k] = v
			}
			replaced := false
			for _, later := range steps[i+1:] {
				replaced = replaced || later.finding != nil && later.finding.Kind == s.finding.Kind && later.finding.ID == s.finding.ID
			}
			if !replaced {
				o.steps = append(o.steps, s)
				w := t.weights(s.finding)
				for h := range o.hyps {
					p := o.table(t, o.hyps[h])
					var l float64
					for j := range p {
						l += w[j] * p[j]
					}
					o.hyps[h].weight *= l
				}
			}
			continue
		}
		o.steps = append(o.steps, s)
		f, _ := o.b.Fix(s.tried)
		for k, v := range f.State {
			o.stand[k] = v
		}
		if proof, ok := o.b.Check(f.Proof); ok {
			for k, v := range proof.State {
				o.stand[k] = v
			}
		}
		for h := range o.hyps {
			var left []string
			for _, c := range o.hyps[h].now {
				if cause, _ := o.b.Cause(c); cause.Fix != s.tried {
					left = append(left, c)
				}
			}
			switch {
			case len(left) == len(o.hyps[h].now):
			case len(left) == 0:
				o.hyps[h].weight *= 1 - f.Cures
			default:
				o.hyps[h].now = left
			}
		}
	}
	var total float64
	for _, h := range o.hyps {
		total += h.weight
	}
	for i := range o.hyps {
		o.hyps[i].weight /= total
	}
}

// need is the set of fixes a hypothesis still needs, as one word.
func (o *oracle) need(h oracleHyp) (key string, fixes map[string]bool) {
	if h.unlisted {
		return "escalate", nil
	}
	fixes = map[string]bool{}
	for _, c := range h.now {
		cause, _ := o.b.Cause(c)
		fixes[cause.Fix] = true
	}
	var list []string
	for f := range fixes {
		list = append(list, f)
	}
	sort.Strings(list)
	for _, f := range list {
		key += f + "+"
	}
	return key, fixes
}

// bits is I(Y; O) as H(O) + H(Y) - H(Y, O), another way than the engine's.
func (o *oracle) bits(t oracleObs) float64 {
	joint := map[string][]float64{}
	outcome := make([]float64, len(t.outcomes))
	for _, h := range o.hyps {
		key, _ := o.need(h)
		if joint[key] == nil {
			joint[key] = make([]float64, len(t.outcomes))
		}
		for j, p := range o.table(t, h) {
			joint[key][j] += h.weight * p
			outcome[j] += h.weight * p
		}
	}
	var keys []string
	for k := range joint {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var hy, hyo float64
	for _, k := range keys {
		var sum float64
		for _, v := range joint[k] {
			sum += v
			if v > 0 {
				hyo -= v * math.Log2(v)
			}
		}
		if sum > 0 {
			hy -= sum * math.Log2(sum)
		}
	}
	return entropy(outcome) + hy - hyo
}

// againstOracle hands random bases and jobs, as the engine and as brute force
// see them, to a comparison. Evidence that cannot be is passed over.
func againstOracle(t *testing.T, compare func(t *rapid.T, e *Engine, belief *Belief, o *oracle)) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		steps := drawSteps(t, b)
		e := compile(t, b, testFamily)
		o := newOracle(b, testFamily)
		o.record(steps)
		belief, err := e.Believe(acts(steps))
		if b.Settings.Floor == 0 && math.IsNaN(o.hyps[0].weight) {
			return // impossible evidence, or too far out for the oracle's sums
		}
		if err != nil {
			t.Fatal(err)
		}
		compare(t, e, belief, o)
	})
}
