package cli

import (
	"fmt"

	"sootsayer/kb"
)

// fault is the invented trouble: what symptoms and checks show of a cause.
type fault struct {
	base  *kb.Base
	model *kb.Model
	cause int
}

func newFault(b *kb.Base, family, cause string) (*fault, error) {
	m, err := kb.NewModel(b, family)
	if err != nil {
		return nil, err
	}
	f := &fault{base: b, model: m, cause: m.CauseIndex(cause)}
	if f.cause < 0 {
		return nil, kb.UnknownID("cause of "+family, cause, b.IDs("causes"))
	}
	return f, nil
}

// name is the name of the cause.
func (f *fault) name() string { return f.model.Causes[f.cause].Name }

// shows is the result that a symptom or check most often has with the fault.
func (f *fault) shows(kind, id string) (kb.Finding, error) {
	i := f.model.ObservableIndex(kind, id)
	if i < 0 {
		return kb.Finding{}, fmt.Errorf("the base has no %s %s", kind, id)
	}
	o := &f.model.Observables[i]
	p := o.Normally
	for _, row := range o.Rows {
		if row.Cause == f.cause {
			p = row.P
		}
	}
	most := 0
	for j := range p {
		if p[j] > p[most] {
			most = j
		}
	}
	return kb.Finding{Kind: kind, ID: id, Outcome: o.Outcomes[most]}, nil
}

// part is the one that the fix of the fault most often takes, as it is recorded;
// "" when it takes none more often than not.
func (f *fault) part() string {
	fix, ok := f.base.Fix(f.model.Fixes[f.model.Causes[f.cause].Fix].ID)
	if !ok {
		return ""
	}
	word, most := "", 0.5
	for _, use := range fix.PartsFor(f.model.Family) {
		if use.Chance > most {
			word, most = fmt.Sprintf("%s=%g", use.Part, use.Qty), use.Chance
		}
	}
	return word
}
