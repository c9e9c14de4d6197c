package cli

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// learned is what the shop believes of what a job is about, at one moment.
type learned struct {
	priors  []learn.Prior       // of its model
	tables  []learn.TableChange // of what was checked on it
	changes []learn.Change      // of its family
}

// learnedOf returns what is believed now of the causes of equipment like a
// job's, and of the checks done on it.
func learnedOf(s *shop.Shop, j *kb.Job) (l learned, err error) {
	if l.priors, err = s.Priors(j.Family, j.Model); err != nil {
		return l, err
	}
	if l.changes, err = s.Changes(j.Family); err != nil {
		return l, err
	}
	if l.tables, err = s.TableChanges(); err != nil {
		return l, err
	}
	l.tables = slices.DeleteFunc(l.tables, func(c learn.TableChange) bool { return !doneOn(j, c.Observable) })
	return l, nil
}

// doneOn tells whether a symptom or check, as "check/ID", was recorded on a job.
func doneOn(j *kb.Job, observable string) bool {
	return slices.ContainsFunc(j.Acts, func(a kb.Act) bool {
		return a.Finding != nil && a.Finding.Kind+"/"+a.Finding.ID == observable
	})
}

// named are the shares of some causes.
func (l learned) named(causes []string) []learn.Prior {
	return slices.DeleteFunc(slices.Clone(l.priors), func(p learn.Prior) bool { return !slices.Contains(causes, p.ID) })
}

// share is how often a cause is the root cause.
func (l learned) share(cause string) float64 {
	for i := range l.priors {
		if l.priors[i].ID == cause {
			return l.priors[i].Now
		}
	}
	return 0
}

// chance is that of a result; one that nothing moved so far stands as authored.
func (l learned) chance(of learn.TableChange) float64 {
	for _, c := range l.tables {
		if c.Observable == of.Observable && c.Cause == of.Cause && c.Outcome == of.Outcome {
			return c.Now
		}
	}
	return of.Start
}

// number is another number of the family, likewise.
func (l learned) number(of learn.Change) float64 {
	for _, c := range l.changes {
		if c.Kind == of.Kind && c.ID == of.ID {
			return c.Now
		}
	}
	return of.Start
}

// moved are the chances of results that are not what they were, the one that
// rose most first.
func (l learned) moved(before learned) []learn.TableChange {
	rise := func(c learn.TableChange) float64 { return math.Round((c.Now - before.chance(c)) * 1e9) }
	out := slices.DeleteFunc(slices.Clone(l.tables), func(c learn.TableChange) bool { return rise(c) == 0 })
	slices.SortStableFunc(out, func(x, y learn.TableChange) int { return cmp.Compare(rise(y), rise(x)) })
	return out
}

// timed are the minutes that are not what they were, those that moved most
// first.
func (l learned) timed(before learned) []learn.Change {
	far := func(c learn.Change) float64 { return math.Abs(math.Log(c.Now / before.number(c))) }
	out := slices.DeleteFunc(slices.Clone(l.changes), func(c learn.Change) bool { return c.Kind != learn.ChangeMinutes || !(far(c) > 0) })
	slices.SortStableFunc(out, func(x, y learn.Change) int { return cmp.Compare(far(y), far(x)) })
	return out
}

// How far the chance of a result has to rise, and minutes have to change as a
// share of what they were, to be told of at a closing.
const (
	leastRise  = 0.005
	leastTimed = 0.01
)

// learned says what a closing taught: the shares of the causes it names, the
// result that rose most, and the minutes that moved most.
func (p *printer) learned(b *kb.Base, j *kb.Job, before, after learned) {
	tell := func(format string, args ...any) { p.para("  Learned: ", fmt.Sprintf(format, args...)) }
	such := "such jobs"
	if j.Model != "" {
		such += " on " + j.Model
	}
	for _, x := range after.named(j.Closing.Causes) {
		now, was := share(x.Now), share(before.share(x.ID))
		if now == was {
			tell("%s stays the cause in %s of %s.", x.Name, now, such)
		} else {
			tell("%s is now the cause in %s of %s, before in %s.", x.Name, now, such, was)
		}
	}
	if list := after.moved(before); len(list) > 0 && list[0].Now-before.chance(list[0]) >= leastRise {
		c := list[0]
		tell("%s, %q shows %q in %s of cases, before in %s.", givenWords(b, c.Cause), c.Name, resultName(b, c), percent(c.Now), percent(before.chance(c)))
	}
	if list := after.timed(before); len(list) > 0 && math.Abs(list[0].Now/before.number(list[0])-1) >= leastTimed {
		c := list[0]
		tell("%q takes %.1f minutes, before %.1f.", c.Name, c.Now, before.number(c))
	}
}

// resultName names the outcome of a check or symptom in words.
func resultName(b *kb.Base, c learn.TableChange) string {
	for i := range b.Checks {
		if kb.KindCheck+"/"+b.Checks[i].ID != c.Observable {
			continue
		}
		for _, o := range b.Checks[i].Outcomes {
			if o.ID == c.Outcome {
				return o.Name
			}
		}
	}
	return c.Outcome
}

// givenWords says of which jobs a chance holds.
func givenWords(b *kb.Base, cause string) string {
	if x, ok := b.Cause(cause); ok {
		return "When it is " + x.Name
	}
	return "When it is nothing that bears on it"
}
