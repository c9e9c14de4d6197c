package kb

import (
	"maps"
	"slices"
)

// Missing is one thing that a job names and the base does not have. The job
// keeps it; nothing is counted from it.
type Missing struct {
	Kind   string `json:"kind"`             // one of the kinds below
	ID     string `json:"id"`               // of a reading: the check's
	Of     string `json:"of,omitempty"`     // the check of an outcome, the state of a value
	Family string `json:"family,omitempty"` // set where the base has it, but not for this family
}

// The kinds of what a job may name. Symptoms and checks are KindSymptom and
// KindCheck. A reading is missing when its check takes none any more.
const (
	KindFamily  = "family"
	KindState   = "state"
	KindValue   = "value"
	KindOutcome = "outcome"
	KindReading = "reading"
	KindCause   = "cause"
	KindFix     = "fix"
	KindPart    = "part"
)

// Missing returns what a job names and the base does not have, each thing once;
// nil when it has all of it. Ids are taken as they are: give it what Renamed
// returned. Of a job whose family is gone the rest is held against the whole
// base.
func (b *Base) Missing(j *Job) []Missing {
	g := gaps{base: b}
	if _, ok := b.Family(j.Family); ok {
		g.family = j.Family
	} else {
		g.add(Missing{Kind: KindFamily, ID: j.Family})
	}
	for i := range j.Acts {
		g.act(&j.Acts[i])
	}
	for i := range j.Past {
		g.closing(&j.Past[i])
	}
	if j.Closing != nil {
		g.closing(j.Closing)
	}
	return g.list
}

// KnownActs returns the acts of a job without what the base does not have for
// its family, and that; the job's own acts where it has everything. Evidence can
// be made of what is left only. Ids are taken as they are, as in Missing.
func (b *Base) KnownActs(j *Job) (acts []Act, left []Missing) {
	g := gaps{base: b, family: j.Family}
	acts, whole := j.Acts, true
	for i := range j.Acts {
		a := &j.Acts[i]
		lacks := g.act(a)
		if lacks && whole {
			acts, whole = slices.Clone(j.Acts[:i]), false
		}
		switch {
		case whole:
		case !lacks:
			acts = append(acts, *a)
		case a.State != nil:
			rest := *a
			if rest.State = b.knownState(a.State); len(rest.State) > 0 {
				acts = append(acts, rest)
			}
		}
	}
	return acts, g.list
}

// knownState is what the base has of how the equipment stood.
func (b *Base) knownState(state map[string]string) map[string]string {
	out := maps.Clone(state)
	maps.DeleteFunc(out, func(id, value string) bool {
		s, ok := b.State(id)
		return !ok || !slices.Contains(s.Values, value)
	})
	return out
}

// gaps collects what a base lacks.
type gaps struct {
	base   *Base
	family string // "" where the base does not have the job's
	list   []Missing
}

func (g *gaps) add(m Missing) {
	if !slices.Contains(g.list, m) {
		g.list = append(g.list, m)
	}
}

// act tells whether something of an act is missing.
func (g *gaps) act(a *Act) bool {
	switch {
	case a.Finding != nil:
		return g.finding(a.Finding)
	case a.Tried != "":
		return g.tried(a.Tried)
	}
	lacks := false
	for _, id := range sortedKeys(a.State) {
		s, ok := g.base.State(id)
		switch {
		case !ok:
			g.add(Missing{Kind: KindState, ID: id})
		case !slices.Contains(s.Values, a.State[id]):
			g.add(Missing{Kind: KindValue, ID: a.State[id], Of: id})
		default:
			continue
		}
		lacks = true
	}
	return lacks
}

// finding tells whether nothing can be counted from a finding: its symptom or
// check is gone, or an outcome that it names.
func (g *gaps) finding(f *Finding) bool {
	if f.Kind == KindSymptom {
		s, ok := g.base.Symptom(f.ID)
		switch {
		case !ok:
			return g.gone(KindSymptom, f.ID)
		case g.elsewhere(KindSymptom, f.ID, In(s.Families, g.family)):
			return true
		}
		return g.outcomes(f, []string{No, Yes})
	}
	c, ok := g.base.Check(f.ID)
	switch {
	case !ok:
		return g.gone(KindCheck, f.ID)
	case g.elsewhere(KindCheck, f.ID, In(c.Families, g.family)):
		return true
	case f.Reading == nil:
		return g.outcomes(f, c.outcomeIDs())
	case c.Reading == nil:
		return g.gone(KindReading, f.ID)
	}
	return false
}

// outcomes tells whether one of the outcomes that a finding names is gone.
func (g *gaps) outcomes(f *Finding, have []string) bool {
	named := sortedKeys(f.Weights)
	if f.Weights == nil {
		named = []string{f.Outcome}
	}
	lacks := false
	for _, out := range named {
		if !slices.Contains(have, out) {
			g.add(Missing{Kind: KindOutcome, ID: out, Of: f.ID})
			lacks = true
		}
	}
	return lacks
}

// tried tells whether a tried fix is gone, or cures nothing of the family.
func (g *gaps) tried(id string) bool {
	if _, ok := g.base.Fix(id); !ok {
		return g.gone(KindFix, id)
	}
	for i := range g.base.Causes {
		if c := &g.base.Causes[i]; c.Fix == id {
			if _, in := c.Share[g.family]; in {
				return false
			}
		}
	}
	return g.elsewhere(KindFix, id, false)
}

func (g *gaps) closing(c *Closing) {
	for _, id := range c.Causes {
		cause, ok := g.base.Cause(id)
		switch {
		case id == Unlisted:
		case !ok:
			g.gone(KindCause, id)
		default:
			_, in := cause.Share[g.family]
			g.elsewhere(KindCause, id, in)
		}
	}
	for _, id := range c.Fixes {
		if _, ok := g.base.Fix(id); !ok {
			g.gone(KindFix, id)
		}
	}
	for _, id := range sortedKeys(c.Used) {
		if _, ok := g.base.Part(id); !ok {
			g.gone(KindPart, id)
		}
	}
}

// gone reports an id that the base does not have.
func (g *gaps) gone(kind, id string) bool {
	g.add(Missing{Kind: kind, ID: id})
	return true
}

// elsewhere tells whether an entry belongs to other families only than the job's.
func (g *gaps) elsewhere(kind, id string, in bool) bool {
	if g.family == "" || in {
		return false
	}
	g.add(Missing{Kind: kind, ID: id, Family: g.family})
	return true
}
